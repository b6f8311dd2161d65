"""The bar in its chuck, as it is held by what is expected or by what a fit found."""

from collections.abc import Mapping

import numpy as np

from fea.analysis.distribution import split_log_normal
from fea.analysis.fitted import fitted
from fea.case.schema import Case
from fea.case.work_holding import holding_spread, work_bar, work_holding
from fea.core.modal_model import ModalModel
from fea.machining.work_bar import work_model
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
    """Return the bar at quantiles (s,) of what is expected of its holding."""
    spread, bar, holding = holding_spread(case), work_bar(case), work_holding(case)
    stiff, lossy = (
        split_log_normal(quantiles[name], 1.0 / factor, 1.0, factor).tolist()
        for name, factor in (
            (CHUCK_STIFFNESS, spread.stiffness),
            (CHUCK_DAMPING, spread.damping),
        )
    )
    held = list(zip(stiff, lossy, strict=True))
    distinct = {each: work_model(bar, holding.scaled(*each)) for each in set(held)}
    return tuple(distinct[each] for each in held)
