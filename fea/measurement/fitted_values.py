"""Scores as what they stand for: constants in their units, factors on what is known."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from fea.analysis.chatter_samples import CUT_NAMES
from fea.analysis.clamping_scatter import Scatter, expected_scatter
from fea.analysis.cut import TANGENTIAL, THRUST, force_factors
from fea.analysis.distribution import log_normal, split_log_normal
from fea.analysis.draw import (
    CONSTANTS,
    GROUND,
    constant_name,
    friction_name,
)
from fea.analysis.held_work import CHUCK_DAMPING, CHUCK_STIFFNESS
from fea.analysis.mode_samples import loss_name
from fea.analysis.regeneration import RUBBING, rubbing_at
from fea.case.schema import Case
from fea.case.table_spread import ground_spread
from fea.case.work_holding import holding_spread
from fea.core.damping import LossFactor
from fea.core.joint import Joint
from fea.core.joint_surface import Band
from fea.core.plan import StackPlan
from fea.core.strut import StrutLaw
from fea.core.surface_law import SurfaceLaw
from fea.measurement.unknowns import EYE, EYE_FACTOR, Unknowns
from geometry.pad import FloatArray

OfQuantile = Callable[[FloatArray], FloatArray]

UNITS = {"closure_um": "µm/MPa^m"}
"""Of a joint's constants; the others have none."""
FACTOR, FORCE_FACTOR = "times what was expected", "times the expected force"


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """What a score stands for.

    Parameters
    ----------
    name : of the unknown
    unit : of its values, empty where it has none
    value : quantiles (s,) to values (s,)
    """

    name: str
    unit: str
    value: OfQuantile

    def at(self, scores: FloatArray) -> FloatArray:
        """Values at scores (s,)."""
        return self.value(np.asarray(ndtr(scores)))


def meanings(
    case: Case, plans: Sequence[StackPlan], unknowns: Unknowns
) -> tuple[Meaning, ...]:
    """Return what every unknown stands for, in their order."""
    known = _joint_meanings(plans)
    known |= {GROUND: (FACTOR, _within(ground_spread(case)))}
    for plan in plans:
        for each in expected_scatter(case, plan).values():
            known[friction_name(each.screw)] = (
                FORCE_FACTOR,
                _force(each),
            )
    known |= _cut_meanings(case)
    known |= {
        loss_name(member): ("", _loss(factor))
        for member, factor in unknowns.losses.items()
    }
    known[EYE] = (FACTOR, _within(EYE_FACTOR))
    return tuple(
        Meaning(name=name, unit=known[name][0], value=known[name][1])
        for name in unknowns.names
    )


def _joint_meanings(plans: Sequence[StackPlan]) -> dict[str, tuple[str, OfQuantile]]:
    return {
        constant_name(joint.name, constant): (
            UNITS.get(constant, ""),
            _between(*_band(joint, constant)),
        )
        for plan in plans
        for joint in plan.joints
        if isinstance(joint.law, SurfaceLaw | StrutLaw)
        for constant in CONSTANTS
    }


def _band(joint: Joint, constant: str) -> Band:
    if not isinstance(joint.law, SurfaceLaw | StrutLaw):
        raise TypeError(joint)
    band: Band = getattr(joint.law.surface.spread, constant)
    return band


def _cut_meanings(case: Case) -> dict[str, tuple[str, OfQuantile]]:
    spread = holding_spread(case)

    def force(number: int) -> OfQuantile:
        return lambda q: force_factors(case, {TANGENTIAL: q, THRUST: q})[number]

    found: dict[str, tuple[str, OfQuantile]] = {
        TANGENTIAL: (FACTOR, force(0)),
        THRUST: (FACTOR, force(1)),
        CHUCK_STIFFNESS: (FACTOR, _within(spread.radial)),
        CHUCK_DAMPING: (FACTOR, _within(spread.damping)),
        RUBBING: ("N/mm", rubbing_at),
    }
    return {name: found[name] for name in CUT_NAMES}


def _between(low: float, high: float) -> OfQuantile:
    return lambda quantile: log_normal(quantile, low, high)


def _within(factor: float) -> OfQuantile:
    """So many times more or less, 5 to 95 %."""
    return _between(1.0 / factor, factor)


def _force(scatter: Scatter) -> OfQuantile:
    return scatter.factor


def _loss(factor: LossFactor) -> OfQuantile:
    if factor.value == 0.0:
        return np.zeros_like
    return lambda q: split_log_normal(q, factor.low, factor.value, factor.high)
