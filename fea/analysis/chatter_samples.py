"""Chatter limits for every set of constants: joints, damping, work and force."""

import os
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

    def quantiles() -> FloatArray:
        return np.asarray((random.permutation(SAMPLES) + 0.5) / SAMPLES)

    def drawn(low: float, middle: float, high: float) -> FloatArray:
        return split_log_normal(quantiles(), low, middle, high)

    material, rubbing = load_work_materials()[case.work.material], load_rubbing()
    hard, softer = (
        drawn(1.0 / (1.0 + each), 1.0, 1.0 + each)
        for each in (material.spread, material.thrust.spread)
    )
    work = _draw_work(case, quantiles(), quantiles())
    return CutSets(
        tangential=hard,
        thrust=hard * softer,
        rubbing=drawn(rubbing.low, rubbing.constant, rubbing.high),
        work=work,
    )


def _draw_work(
    case: Case, stiff: FloatArray, lossy: FloatArray
) -> tuple[ModalModel, ...]:
    """Bar in a chuck that is as stiff and damps as much as quantiles (s,) say.

    All springs are stiff or soft together, each by its own spread.
    """
    bar, holding, spread = work_bar(case), work_holding(case), holding_spread(case)

    def times(value: float, quantile: FloatArray, factor: float) -> FloatArray:
        return value * split_log_normal(quantile, 1.0 / factor, 1.0, factor)

    springs = zip(
        times(holding.radial, stiff, spread.radial),
        times(holding.axial, stiff, spread.axial),
        times(holding.tilting, stiff, spread.tilting),
        times(holding.centre or 0.0, stiff, spread.centre),
        times(holding.loss_factor, lossy, spread.damping),
        strict=True,
    )
    return tuple(
        work_model(
            bar,
            replace(
                holding,
                radial=float(radial),
                axial=float(axial),
                tilting=float(tilting),
                centre=float(centre) or None,
                loss_factor=float(loss),
            ),
        )
        for radial, axial, tilting, centre, loss in springs
    )


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
