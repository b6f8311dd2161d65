"""Natural modes of a stack for every set of joint constants, damping included."""

from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from fea.analysis.clamping_scatter import Scatter
from fea.analysis.distinct import distinct
from fea.analysis.distribution import split_log_normal
from fea.analysis.draw import SAMPLES, SEED, Constants
from fea.analysis.fitted import Fitted
from fea.analysis.set_blocks import SetBlock, follow_blocks, sampled_model
from fea.analysis.small_stack import (
    PointStiffness,
    SmallStack,
    linear_members,
    member_factors,
    small_stack,
)
from fea.analysis.stack_modes import MODES
from fea.core.contact_law import ContactLaw
from fea.core.contact_model import ContactModel
from fea.core.contact_sets import CONSTANTS, SampledState
from fea.core.damping import LossFactor, loss_factors
from fea.core.modal_model import ModalModel
from fea.core.plan import StackPlan
from fea.core.stack import Stack
from fea.core.threads import threads
from geometry.errors import SolveError
from geometry.pad import FloatArray

# Sets whose modes the basis holds; drawn evenly, they lie far apart.
CHOSEN = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class SampledModes:
    """Modes at the tip in s sets of constants; NaN in those that are not in balance.

    Parameters
    ----------
    frequency_hz, damping_ratio : (s, n_mode)
    shapes : (s, n_mode, f) motion of the tip, and of what else is watched, in modes of
        unit mass [t^-1/2]
    residual : (s, f, f) compliance of the modes left out [mm/N]
    held : (s,) whether the set is in equilibrium
    """

    frequency_hz: FloatArray
    damping_ratio: FloatArray
    shapes: FloatArray
    residual: FloatArray
    held: FloatArray

    def model(self, number: int) -> ModalModel:
        """Return what the tip does in one of the sets."""
        return ModalModel(
            frequency_hz=self.frequency_hz[number],
            damping_ratio=self.damping_ratio[number],
            shapes=self.shapes[number, :, :3],
            residual=self.residual[number, :3, :3],
        )


def known_losses(stacks: Iterable[Stack | StackPlan]) -> dict[str, LossFactor]:
    """Loss factors of all members of some stacks; same name, same member."""
    known: dict[str, LossFactor] = {}
    for stack in stacks:
        known |= loss_factors(stack)
    return known


def draw_losses(
    known: Mapping[str, LossFactor], fit: Fitted | None = None
) -> dict[str, FloatArray]:
    """Loss factors in every set. (s,) by name of the member; `fit` as found if any.

    Each is spread evenly over its band, in an order of its own: what the joints' other
    constants are says nothing about it.
    """
    random = np.random.default_rng(SEED)
    quantiles = {
        loss_name(name): (random.permutation(SAMPLES) + 0.5) / SAMPLES
        for name in sorted(known)
    }
    if fit is not None:
        quantiles = {name: fit.quantiles(name, q) for name, q in quantiles.items()}
    return losses_at(known, quantiles)


def loss_name(member: str) -> str:
    """Name the loss factor of a member."""
    return f"{member}: loss factor"


def losses_at(
    known: Mapping[str, LossFactor], quantiles: Mapping[str, FloatArray]
) -> dict[str, FloatArray]:
    """Return loss factors at quantiles (s,) of their bands. (s,) by member."""
    found = {}
    for name, factor in known.items():
        quantile = quantiles[loss_name(name)]
        found[name] = (
            split_log_normal(quantile, factor.low, factor.value, factor.high)
            if factor.value > 0.0
            else np.zeros(len(quantile))
        )
    return found


def sample_modes(
    stack: Stack,
    force: FloatArray,
    constants: Constants,
    scatter: Mapping[str, Scatter],
    losses: Mapping[str, FloatArray],
) -> SampledModes:
    """Natural modes about the equilibrium under a force, set by set.

    Parameters
    ----------
    stack : assembled
    force : (3,) at the tip, of the depth of cut about which it vibrates [N]
    constants : drawn
    scatter : of clamping forces, by joint or link
    losses : loss factors drawn by `draw_losses`

    Raises
    ------
    SolveError
        No set is in equilibrium under the force.
    """
    model = sampled_model(stack)
    points, held = _all_points(stack, model, constants, scatter, force)
    return modes_about(stack, model, (points, held), constants.ground, losses)


def modes_about(
    stack: Stack,
    model: ContactModel,
    between: tuple[FloatArray, FloatArray],
    ground: FloatArray,
    losses: Mapping[str, FloatArray],
) -> SampledModes:
    """Natural modes about equilibria that are known.

    Parameters
    ----------
    stack, model : assembled; its joints
    between : (h, 3 p) stiffness at all points in the sets that hold; which do (s,)
    ground : (s,) factors
    losses : as of `sample_modes`

    Raises
    ------
    SolveError
        No set is in equilibrium.
    """
    points, held = between
    if not held.any():
        message = (
            f"with none of {len(held)} sets of joint constants does the stack hold the "
            "cutting force; clamp harder or cut less"
        )
        raise SolveError(message)
    sets = PointStiffness(springs=ground[held], points=points)
    chosen = np.linspace(0, len(points) - 1, CHOSEN).round().astype(int)
    small = small_stack(stack, model, sets, chosen.tolist(), MODES)
    lost = {name: each[held] for name, each in losses.items()}
    return _spread(ring_sets(stack, model, small, sets, lost), held)


def _all_points(
    stack: Stack,
    model: ContactModel,
    constants: Constants,
    scatter: Mapping[str, Scatter],
    force: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Stiffness at all points in the sets that hold (h, 3 p); which do (s,)."""

    def follow(block: SetBlock) -> tuple[FloatArray, FloatArray]:
        state = block.sampled.load(block.clamped, force)
        return point_stiffness(model, block.laws, state), state.held

    blocks = follow_blocks(stack, model, constants, scatter, follow)
    return np.vstack([points for points, _ in blocks]), np.concatenate(
        [held for _, held in blocks]
    )


def point_stiffness(
    model: ContactModel, laws: Mapping[str, ContactLaw], state: SampledState
) -> FloatArray:
    """Stiffness at the points of all contacts about settled equilibria. (h, 3 p).

    Of the h sets that hold. All that touches sticks, and wedges stay in place, as in
    `working_modes`. `laws` have (s,) constants; [N/mm].
    """
    held = state.held
    unknowns = state.unknowns[held]
    m, r = model.interface.size, model.interface.rigid.shape[1]
    driven = [joint.name for joint in model.driven]
    advances = dict(zip(driven, unknowns[:, m + r :].T, strict=True))
    normal = []
    for joint in model.contacts:
        jump = unknowns[:, model.interface.slices[joint.name]][:, 2::3]
        advance = advances.get(joint.name, np.zeros(len(jump)))[:, None]
        law = laws[joint.name]
        columns = ContactLaw(
            **{
                each: np.reshape(getattr(law, each), (-1, 1))[held]
                for each in CONSTANTS
            }
        )
        normal.append(columns.pressure(advance - jump @ joint.functions)[1])
    along = state.points.stiffness.reshape(len(held), -1)[held]
    weights = np.concatenate([joint.weights for joint in model.contacts])
    each_axis = np.stack([along, along, np.hstack(normal)], axis=2)
    return np.asarray(
        (each_axis * weights[:, None]).reshape(len(along), 3 * len(weights))
    )


def ring_sets(
    stack: Stack,
    model: ContactModel,
    small: SmallStack,
    sets: PointStiffness,
    losses: Mapping[str, FloatArray],
) -> SampledModes:
    """Solve every set for its modes; damping by modal strain energy.

    Parameters
    ----------
    stack, model : assembled; its joints
    small : the stack in a basis that holds the modes of all sets
    sets : what is between the pads
    losses : (s,) by member
    """
    # Sets that differ in what is lost alone ring alike.
    first, which = distinct(np.column_stack([sets.springs, sets.points]))
    factors = member_factors(stack, model, sets.springs[first])
    points = sets.points[first]
    ends = np.cumsum([0] + [3 * len(joint.weights) for joint in model.contacts])

    def one(number: int) -> tuple[FloatArray, ...]:
        stiffness = small.stiffness(factors[number], points[number])
        squared, modes = np.linalg.eigh(stiffness)
        linear, at_points = small.energies(
            factors[number], points[number], modes[:, :MODES]
        )
        energy = np.vstack([linear, np.add.reduceat(at_points, ends[:-1])])
        shapes = (small.tip @ modes).T
        above = shapes[MODES:] / np.sqrt(squared[MODES:, None])
        frequency = np.sqrt(squared[:MODES]) / (2.0 * np.pi)
        share = energy / (2.0 * squared[:MODES])
        return frequency, share, shapes[:MODES], above.T @ above

    with ThreadPoolExecutor(threads()) as pool:
        found = list(pool.map(one, range(len(first))))
    frequency, share, shapes, residual = (
        np.array(each)[which] for each in zip(*found, strict=True)
    )
    members = (*linear_members(stack, model), *(each.name for each in model.contacts))
    lost = np.column_stack([losses[name] for name in members])
    return SampledModes(
        frequency_hz=frequency,
        damping_ratio=np.einsum("sk,skn->sn", lost, share),
        shapes=shapes,
        residual=residual,
        held=np.ones(len(which), dtype=bool),
    )


def _spread(found: SampledModes, held: FloatArray) -> SampledModes:
    """Put what was found in the sets that hold beside those that do not."""

    def all_sets(values: FloatArray) -> FloatArray:
        whole = np.full((len(held), *values.shape[1:]), np.nan)
        whole[held] = values
        return whole

    return SampledModes(
        frequency_hz=all_sets(found.frequency_hz),
        damping_ratio=all_sets(found.damping_ratio),
        shapes=all_sets(found.shapes),
        residual=all_sets(found.residual),
        held=held,
    )
