"""Bands on what is predicted: joints and ground are known roughly only."""

import os
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.special import ndtri

from fea.analysis.cutting_path import CutPath
from fea.analysis.result import Bands
from fea.analysis.work_shares import contact_rows
from fea.core.contact_law import ContactLaw
from fea.core.contact_model import ContactModel
from fea.core.contact_samples import SampledStack
from fea.core.contact_sets import CONSTANTS as LAW_CONSTANTS
from fea.core.contact_sets import SampledState
from fea.core.contact_stack import contact_model
from fea.core.equilibrium import clamp
from fea.core.interface import split
from fea.core.stack import Stack
from fea.core.strut import StrutLaw
from fea.core.surface_law import SurfaceLaw
from geometry.pad import FloatArray
from geometry.units import MM_PER_UM, UM_PER_MM

SAMPLES = 256  # a power of two, as Sobol's sequence wants it
SEED = 20  # any: fixes the scrambling, so that a run can be repeated
DEPTHS = 4  # of the curve's at which the band is computed
BAND = (0.05, 0.95)
BLOCK = 32  # sets followed together
CONSTANTS = ("closure_um", "exponent", "tangential_ratio", "friction")

# 5 to 95 % of the machine below the slides (common practice, no source: the table of
# ground stiffness says the same).
GROUND_FACTOR = 3.0

# Degree of a joint's polynomials in the samples: coarser than the nominal ones where
# that changes the tip's motion by no more than 1 %, against a band of tens of percent.
SAMPLE_DEGREE = 1
FINER = {
    "tool floor": 3,
    "tool on shims": 3,
    "shims on block": 3,
    "way near work": 2,
    "way far": 2,
    "base": 2,
}


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


def draw_constants(joints: Iterable[str]) -> Constants:
    """Draw sets of constants, evenly spread over all joints' bands (Sobol).

    `joints` : names of those of all stacks.
    """
    # Imported when it is needed: it costs a second, and bands are mostly kept.
    from scipy.stats import qmc

    keys = [(name, constant) for name in joints for constant in CONSTANTS]
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
    degrees = {
        joint.name: FINER.get(joint.name, SAMPLE_DEGREE) for joint in stack.joints
    }
    model = contact_model(stack, degrees)
    chosen = np.unique(np.linspace(0, len(path.steps) - 1, DEPTHS).round().astype(int))
    forces = np.vstack([np.zeros(3), path.curve.force_n[chosen]])
    found = _follow_all(stack, model, constants, forces)
    held, force = found.held, forces[-1]
    motions = found.motions[:, held] * UM_PER_MM
    stiffness = (force @ force) / (found.motions[-1] @ force) / UM_PER_MM
    bands = Bands(
        samples=len(held),
        depth_mm=path.curve.depth_mm[chosen],
        deflection_um=np.quantile(motions, BAND, axis=1),
        diameter_error_um=2.0 * np.quantile(motions[:, :, 0], BAND, axis=1),
        compliance_um_per_n=np.quantile(found.compliance[held], BAND, axis=0)
        * UM_PER_MM,
        stiffness_n_per_um=np.quantile(stiffness[held], BAND),
        shares={
            name: (float(low), float(high))
            for name, share in found.shares.items()
            for low, high in [np.quantile(share[held], BAND)]
        },
        lost=float(1.0 - held.mean()),
    )
    return Sampled(bands=bands, stiffness=np.where(held, stiffness, np.nan))


def ratio_band(one: Sampled, other: Sampled) -> FloatArray:
    """Band of the ratio of two stacks' stiffnesses, same constants in both. (2,)."""
    ratios = one.stiffness / other.stiffness
    return np.asarray(np.nanquantile(ratios, BAND))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Followed:
    """What became of sets of constants: (k, s, 3), (s, 3, 3), (s,) each, (s,)."""

    motions: FloatArray
    compliance: FloatArray
    shares: dict[str, FloatArray]
    held: FloatArray


def _follow_all(
    stack: Stack, model: ContactModel, constants: Constants, forces: FloatArray
) -> _Followed:
    """Follow all sets, a block at a time, so that a block's matrices stay in cache."""
    nominal = clamp(model)
    start = np.concatenate([nominal.coefficients, nominal.rigid, nominal.advance])
    laws, count = _laws(stack, constants), len(constants.ground)

    def follow(first: int) -> _Followed:
        block = slice(first, first + BLOCK)
        sampled = SampledStack(model, _some(laws, block), constants.ground[block])
        return _follow(stack, sampled, start, forces)

    with ThreadPoolExecutor(os.cpu_count()) as pool:
        blocks = list(pool.map(follow, range(0, count, BLOCK)))
    return _Followed(
        motions=np.concatenate([each.motions for each in blocks], axis=1),
        compliance=np.concatenate([each.compliance for each in blocks]),
        shares={
            name: np.concatenate([each.shares[name] for each in blocks])
            for name in blocks[0].shares
        },
        held=np.concatenate([each.held for each in blocks]),
    )


def _follow(
    stack: Stack, sampled: SampledStack, start: FloatArray, forces: FloatArray
) -> _Followed:
    states = [sampled.clamp(start)]
    for force in forces[1:]:
        states.append(sampled.load(states[-1], force))
    rest = sampled.tip_motion(states[0], forces[0])
    motions = [
        sampled.tip_motion(state, force) - rest
        for state, force in zip(states[1:], forces[1:], strict=True)
    ]
    return _Followed(
        motions=np.array(motions),
        compliance=sampled.tip_compliance(states[0]),
        shares=_shares(stack, sampled.model, states, forces[-1]),
        held=states[-1].held,
    )


def _some(laws: Mapping[str, ContactLaw], sets: slice) -> dict[str, ContactLaw]:
    """Return laws for some of the sets."""
    return {
        name: ContactLaw(
            **{c: np.asarray(getattr(law, c))[sets] for c in LAW_CONSTANTS}
        )
        for name, law in laws.items()
    }


def _laws(stack: Stack, constants: Constants) -> dict[str, ContactLaw]:
    laws = {}
    for joint in stack.joints:
        if not isinstance(joint.law, SurfaceLaw | StrutLaw):
            continue
        surface, nominal = joint.law.surface, joint.law.contact
        drawn = {
            constant: _log_normal(
                constants.quantiles[joint.name, constant],
                *getattr(surface.spread, constant),
            )
            for constant in CONSTANTS
        }
        if isinstance(joint.law, StrutLaw):
            closure = drawn.pop("closure_um") * MM_PER_UM
            laws[joint.name] = joint.law.contact_of(closure, **drawn)
            continue
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
    width = (np.log(high) - np.log(low)) / (2.0 * ndtri(BAND[1]))
    return np.asarray(np.exp(middle + width * ndtri(quantile)))


def _shares(
    stack: Stack, model: ContactModel, states: list[SampledState], force: FloatArray
) -> dict[str, FloatArray]:
    """Share of every member in the work, set by set; as `work_shares`. (s,) each."""
    m = model.interface.size
    start = states[0].tractions
    work = {name: np.zeros(len(start)) for name in model.interface.slices}
    for before, after in pairwise(states):
        mean = (before.tractions + after.tractions) / 2.0 - start
        change = mean * (after.unknowns[:, :m] - before.unknowns[:, :m])
        for name, own in model.interface.slices.items():
            work[name] += change[:, own].sum(axis=1)
    elastic, _, give = split(stack)
    rows = np.vstack([*contact_rows(stack, model), stack.tip_rows])[:, elastic]
    pulls = np.hstack([start - states[-1].tractions, np.tile(force, (len(start), 1))])
    first = 0
    for part in stack.parts:
        own = slice(first, first + part.reduced.n_elastic)
        first = own.stop
        bent = (pulls @ rows[:, own]) * give[own]
        work[part.name] = (bent**2 / give[own]).sum(axis=1) / 2.0
    total = sum(work.values())
    return {name: each / total for name, each in work.items()}
