"""Chatter limits for every set of constants: joints, damping, work and force."""

import os
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from fea.analysis.distribution import split_log_normal
from fea.analysis.draw import SAMPLES, SEED
from fea.analysis.mode_samples import SampledModes
from fea.analysis.regeneration import Regeneration, cut_limits
from fea.case.schema import Case
from fea.case.work_holding import holding_spread, work_bar, work_holding
from fea.core.modal_model import ModalModel, joined
from fea.machining.edge_stiffness import load_rubbing
from fea.machining.work_bar import work_model
from fea.machining.work_material import load_work_materials
from geometry.pad import FloatArray

# In the order in which they are drawn.
RUBBING = "flank: rubbing"
TANGENTIAL, THRUST = "cut: tangential force", "cut: thrust over tangential force"
CHUCK_STIFFNESS, CHUCK_DAMPING = "chuck: stiffness", "chuck: damping"
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
    return cut_at(
        case,
        {name: (random.permutation(SAMPLES) + 0.5) / SAMPLES for name in CUT_NAMES},
    )


def cut_at(case: Case, quantiles: Mapping[str, FloatArray]) -> CutSets:
    """Return work and cut at quantiles (s,) of what is known, by `CUT_NAMES`."""
    hard, softer = force_factors(case, quantiles)
    rubbing, spread = load_rubbing(), holding_spread(case)
    holding, bar = work_holding(case), work_bar(case)
    stiff = split_log_normal(
        quantiles[CHUCK_STIFFNESS], 1.0 / spread.stiffness, 1.0, spread.stiffness
    )
    lossy = split_log_normal(
        quantiles[CHUCK_DAMPING], 1.0 / spread.damping, 1.0, spread.damping
    )
    held = list(zip(stiff.tolist(), lossy.tolist(), strict=True))
    distinct = {each: work_model(bar, holding.scaled(*each)) for each in set(held)}
    return CutSets(
        tangential=hard,
        thrust=hard * softer,
        rubbing=split_log_normal(
            quantiles[RUBBING], rubbing.low, rubbing.constant, rubbing.high
        ),
        work=tuple(distinct[each] for each in held),
    )


def force_factors(
    case: Case, quantiles: Mapping[str, FloatArray]
) -> tuple[FloatArray, FloatArray]:
    """Factors on the tangential force, and on the thrust over it. (s,) each."""
    material = load_work_materials()[case.work.material]
    hard, softer = (
        split_log_normal(quantiles[name], 1.0 / (1.0 + spread), 1.0, 1.0 + spread)
        for name, spread in (
            (TANGENTIAL, material.spread),
            (THRUST, material.thrust.spread),
        )
    )
    return hard, softer


def sample_limits(
    modes: SampledModes, sets: CutSets, cut: Regeneration, speed_rpm: FloatArray
) -> SampledLimits:
    """Find the limits of every set at the given speeds and over all of them."""
    limit = np.full((len(modes.held), len(speed_rpm)), np.nan)
    smallest = np.full(len(modes.held), np.nan)

    def find(number: int) -> None:
        model = joined(modes.model(number), sets.work[number])
        own = replace(
            cut,
            slopes=cut.slopes.scaled(sets.tangential[number], sets.thrust[number]),
            rubbing=float(sets.rubbing[number]),
        )
        found = cut_limits(model, own, speed_rpm)
        limit[number] = found.at_speeds.depth_mm
        smallest[number] = found.smallest.depth_mm[0]

    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(find, np.flatnonzero(modes.held).tolist()))
    return SampledLimits(limit_mm=limit, smallest_mm=smallest)
