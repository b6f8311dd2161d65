"""Bands on everything predicted: the joints' constants are uncertain, and so is ground."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from scipy.stats import norm, qmc

from fea.analysis.cutting_path import CutPath
from fea.analysis.result import Bands
from fea.analysis.work_shares import contact_rows
from fea.core.contact_law import ContactLaw
from fea.core.contact_model import ContactModel
from fea.core.contact_samples import SampledStack, SampledState
from fea.core.contact_stack import contact_model
from fea.core.equilibrium import clamp
from fea.core.interface import split
from fea.core.joint_surface import MM_PER_UM
from fea.core.stack import Stack
from fea.core.surface_law import SurfaceLaw
from geometry.pad import FloatArray

SAMPLES = 256  # a power of two, as Sobol's sequence wants it
SEED = 20  # any: fixes the scrambling, so that a run can be repeated
SAMPLE_DEGREE = 1
DEPTHS = 4  # of the curve's at which the band is computed
LOW, HIGH = 0.05, 0.95
CONSTANTS = ("closure_um", "exponent", "tangential_ratio", "friction")

# 5 to 95 % of the machine below the slides (common practice, no source: the table of
# ground stiffness says the same).
GROUND_FACTOR = 3.0

UM_PER_MM = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Constants:
    """Sets of constants for every joint of both stacks.

    Parameters
    ----------
    quantiles : (joint, constant) to (s,) in 0 .. 1; a joint of the same name has the
        same in both stacks
    ground : (s,) factor on the ground's stiffness
    """

    quantiles: Mapping[tuple[str, str], FloatArray]
    ground: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampled:
    """Bands of a stack and, for ratios, its stiffness in every set. (s,) [N/um]."""

    bands: Bands
    stiffness: FloatArray


def draw_constants(stacks: Iterable[Stack]) -> Constants:
    """Draw sets of constants, evenly spread over all joints' bands (Sobol)."""
    names = sorted({joint.name for stack in stacks for joint in stack.joints})
    keys = [(name, constant) for name in names for constant in CONSTANTS]
    sobol = qmc.Sobol(len(keys) + 1, seed=SEED)
    points = sobol.random_base2(SAMPLES.bit_length() - 1)
    # Sobol's points reach 0 and 1 only in the limit; the half cell keeps them off.
    points = np.clip(points, 0.5 / SAMPLES, 1.0 - 0.5 / SAMPLES)
    ground = _log_normal(points[:, -1], 1.0 / GROUND_FACTOR, GROUND_FACTOR)
    return Constants(
        quantiles={key: points[:, i] for i, key in enumerate(keys)}, ground=ground
    )


def sample_bands(stack: Stack, path: CutPath, constants: Constants) -> Sampled:
    """Follow the cut through the stack with every set of constants.

    The forces are those of the nominal stack: that the tool gives way a little more or
    less changes them by much less than the constants change the motion.
    """
    model = contact_model(stack, SAMPLE_DEGREE)
    sampled = SampledStack(model, _laws(stack, constants), constants.ground)
    nominal = clamp(model)
    start = np.concatenate([nominal.coefficients, nominal.rigid, nominal.advance])
    states = [sampled.clamp(start)]
    compliance = sampled.tip_compliance(states[0])
    chosen = np.unique(np.linspace(0, len(path.steps) - 1, DEPTHS).round().astype(int))
    forces = [np.zeros(3)]
    for step in chosen:
        forces.append(path.curve.force_n[step])
        states.append(sampled.load(states[-1], forces[-1]))
    rest = sampled.tip_motion(states[0], forces[0])
    motions = np.array(
        [
            sampled.tip_motion(state, force) - rest
            for state, force in zip(states[1:], forces[1:], strict=True)
        ]
    )
    held = states[-1].held
    force = forces[-1]
    stiffness = (force @ force) / (motions[-1] @ force) / UM_PER_MM
    shares = _shares(stack, model, states, force)
    quantiles = (LOW, HIGH)
    return Sampled(
        bands=Bands(
            samples=len(held),
            depth_mm=path.curve.depth_mm[chosen],
            deflection_um=np.quantile(motions[:, held], quantiles, axis=1) * UM_PER_MM,
            diameter_error_um=2.0
            * UM_PER_MM
            * np.quantile(motions[:, held, 0], quantiles, axis=1),
            compliance_um_per_n=np.quantile(compliance[held], quantiles, axis=0)
            * UM_PER_MM,
            stiffness_n_per_um=np.quantile(stiffness[held], quantiles),
            shares={
                name: (
                    float(np.quantile(share[held], LOW)),
                    float(np.quantile(share[held], HIGH)),
                )
                for name, share in shares.items()
            },
            lost=float(1.0 - held.mean()),
        ),
        stiffness=np.where(held, stiffness, np.nan),
    )


def _laws(stack: Stack, constants: Constants) -> dict[str, ContactLaw]:
    laws = {}
    for joint in stack.joints:
        if not isinstance(joint.law, SurfaceLaw):
            continue
        surface, nominal = joint.law.surface, joint.law.contact
        drawn = {
            constant: _log_normal(
                constants.quantiles[joint.name, constant],
                *getattr(surface.spread, constant),
            )
            for constant in CONSTANTS
        }
        count = len(constants.ground)
        kept = np.full(count, nominal.friction)
        laws[joint.name] = ContactLaw(
            closure=joint.law.faces * drawn["closure_um"] * MM_PER_UM,
            exponent=drawn["exponent"],
            tangential_ratio=drawn["tangential_ratio"],
            friction=kept if joint.law.keyed else drawn["friction"],
        )
    return laws


def _log_normal(quantile: FloatArray, low: float, high: float) -> FloatArray:
    """Values of the log-normal distribution with these 5 and 95 % points."""
    middle = (np.log(low) + np.log(high)) / 2.0
    width = (np.log(high) - np.log(low)) / (2.0 * norm.ppf(HIGH))
    return np.asarray(np.exp(middle + width * norm.ppf(quantile)))


def _shares(
    stack: Stack, model: ContactModel, states: list[SampledState], force: FloatArray
) -> dict[str, FloatArray]:
    """Share of every member in the work, set by set; as `work_shares`. (s,) each."""
    m = model.interface.size
    start = states[0].tractions
    work = {
        name: np.zeros(len(start)) for name in (*model.interface.slices,)
    }
    for before, after in zip(states, states[1:], strict=False):
        mean = (before.tractions + after.tractions) / 2.0 - start
        change = mean * (after.unknowns[:, :m] - before.unknowns[:, :m])
        for name, own in model.interface.slices.items():
            work[name] += change[:, own].sum(axis=1)
    elastic, _, give = split(stack)
    rows = np.vstack([*contact_rows(stack, model), stack.tip_rows])[:, elastic]
    pulls = np.hstack(
        [start - states[-1].tractions, np.tile(force, (len(start), 1))]
    )
    first = 0
    for part in stack.parts:
        own = slice(first, first + part.reduced.n_elastic)
        first = own.stop
        bent = (pulls @ rows[:, own]) * give[own]
        work[part.name] = (bent**2 / give[own]).sum(axis=1) / 2.0
    total = sum(work.values())
    return {name: each / total for name, each in work.items()}
