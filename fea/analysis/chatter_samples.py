"""Chatter limits for every set of constants: joints, damping, work and force."""

from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from fea.analysis.cut import TANGENTIAL, THRUST, fitted_force, force_factors
from fea.analysis.draw import SAMPLES, SEED
from fea.analysis.fitted import fitted
from fea.analysis.held_work import CHUCK_DAMPING, CHUCK_STIFFNESS, work_sets
from fea.analysis.mode_samples import SampledModes
from fea.analysis.regeneration import (
    RUBBING,
    Regeneration,
    cut_limits,
    rubbing_at,
    speed_limits,
)
from fea.case.schema import Case
from fea.core.modal_model import ModalModel, joined
from fea.core.threads import threads
from geometry.pad import FloatArray

# In the order in which they are drawn.
CUT_NAMES = (TANGENTIAL, THRUST, CHUCK_STIFFNESS, CHUCK_DAMPING, RUBBING)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSets:
    """What is uncertain beside the stack, the same for both stacks. (s,) each.

    Parameters
    ----------
    tangential, thrust : factors on the force's slopes
    rubbing : C of process damping [N/mm]
    work : the bar in its chuck
    """

    tangential: FloatArray
    thrust: FloatArray
    rubbing: FloatArray
    work: tuple[ModalModel, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SampledLimits:
    """Limits set by set; NaN where the clamping does not hold.

    Parameters
    ----------
    limit_mm : (s, n) at n speeds
    smallest_mm : (s,) over all speeds
    """

    limit_mm: FloatArray
    smallest_mm: FloatArray


def draw_cut(case: Case) -> CutSets:
    """Draw what is uncertain of work and cut, each evenly over its band."""
    # Another stream than that of the loss factors, which is drawn from the same seed.
    random = np.random.default_rng([SEED, 1])
    known = fitted(case)
    drawn = {name: (random.permutation(SAMPLES) + 0.5) / SAMPLES for name in CUT_NAMES}
    return cut_at(case, {name: known.quantiles(name, q) for name, q in drawn.items()})


def cut_at(case: Case, quantiles: Mapping[str, FloatArray]) -> CutSets:
    """Return work and cut at quantiles (s,) of what is expected, by `CUT_NAMES`.

    The factors on the force are those on the nominal cut, which is at its fitted
    middle.
    """
    hard, softer = force_factors(case, quantiles)
    nominal_hard, nominal_thrust = fitted_force(case)
    return CutSets(
        tangential=hard / nominal_hard,
        thrust=hard * softer / nominal_thrust,
        rubbing=rubbing_at(quantiles[RUBBING]),
        work=work_sets(case, quantiles),
    )


def sample_limits(
    modes: SampledModes, sets: CutSets, cut: Regeneration, speed_rpm: FloatArray
) -> SampledLimits:
    """Find the limits of every set at the given speeds and over all of them."""
    limit = np.full((len(modes.held), len(speed_rpm)), np.nan)
    smallest = np.full(len(modes.held), np.nan)

    def find(number: int) -> None:
        found = cut_limits(*_pair(modes, sets, cut, number), speed_rpm)
        limit[number] = found.at_speeds.depth_mm
        smallest[number] = found.smallest.depth_mm[0]

    _each(modes, find)
    return SampledLimits(limit_mm=limit, smallest_mm=smallest)


def sample_speed_limits(
    modes: SampledModes, sets: CutSets, cut: Regeneration, speed_rpm: FloatArray
) -> FloatArray:
    """Find the limits of every set at the given speeds alone. (s, n) [mm]."""
    limit = np.full((len(modes.held), len(speed_rpm)), np.nan)

    def find(number: int) -> None:
        found = speed_limits(*_pair(modes, sets, cut, number), speed_rpm)
        limit[number] = found.depth_mm

    _each(modes, find)
    return limit


def _pair(
    modes: SampledModes, sets: CutSets, cut: Regeneration, number: int
) -> tuple[ModalModel, Regeneration]:
    """Tool against work, and the cut, in one of the sets."""
    own = replace(
        cut,
        slopes=cut.slopes.scaled(sets.tangential[number], sets.thrust[number]),
        rubbing=float(sets.rubbing[number]),
    )
    return joined(modes.model(number), sets.work[number]), own


def _each(modes: SampledModes, find: Callable[[int], None]) -> None:
    """Do something for every set that holds, on all cores."""
    with ThreadPoolExecutor(threads()) as pool:
        list(pool.map(find, np.flatnonzero(modes.held).tolist()))
