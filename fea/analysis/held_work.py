"""The bar in its chuck, as it is held by what is expected or by what a fit found."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from fea.analysis.distribution import split_log_normal
from fea.analysis.fitted import fitted
from fea.case.schema import Case
from fea.case.work_holding import (
    HoldingSpread,
    holding_spread,
    work_bar,
    work_holding,
)
from fea.core.modal_model import ModalModel
from fea.machining.work_bar import WorkHolding, work_model
from geometry.pad import FloatArray

CHUCK_STIFFNESS, CHUCK_DAMPING = "chuck: stiffness", "chuck: damping"


def held_work(case: Case) -> ModalModel:
    """Return the bar as it is most probably held."""
    known = fitted(case)
    names = (CHUCK_STIFFNESS, CHUCK_DAMPING)
    return work_sets(case, {name: np.array([known.middle(name)]) for name in names})[0]


def work_sets(
    case: Case, quantiles: Mapping[str, FloatArray]
) -> tuple[ModalModel, ...]:
    """Return the bar at quantiles (s,) of what is expected of its holding.

    All springs are stiff or soft together, each by its own spread.
    """
    bar, quantile = (
        work_bar(case),
        [quantiles[CHUCK_STIFFNESS], quantiles[CHUCK_DAMPING]],
    )
    pairs = list(zip(*(each.tolist() for each in quantile), strict=True))
    holding, spread = work_holding(case), holding_spread(case)
    distinct = {
        each: work_model(bar, _held(holding, spread, *each)) for each in set(pairs)
    }
    return tuple(distinct[each] for each in pairs)


def _held(
    holding: WorkHolding, spread: HoldingSpread, stiff: float, lossy: float
) -> WorkHolding:
    """Return what holds the work, at two quantiles."""

    def times(value: float, quantile: float, factor: float) -> float:
        at = split_log_normal(np.array(quantile), 1.0 / factor, 1.0, factor)
        return value * float(at)

    centre = holding.centre
    return replace(
        holding,
        radial=times(holding.radial, stiff, spread.radial),
        axial=times(holding.axial, stiff, spread.axial),
        tilting=times(holding.tilting, stiff, spread.tilting),
        centre=None if centre is None else times(centre, stiff, spread.centre),
        loss_factor=times(holding.loss_factor, lossy, spread.damping),
    )
