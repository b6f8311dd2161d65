"""What was expected of every constant, and what is known of it after the fit."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fea.analysis.build import PLANS, plan_stack
from fea.analysis.chatter_samples import (
    CHUCK_DAMPING,
    CHUCK_STIFFNESS,
    RUBBING,
    TANGENTIAL,
    THRUST,
)
from fea.analysis.clamping_scatter import Scatter, clamping_scatter
from fea.analysis.distribution import log_normal, split_log_normal
from fea.analysis.draw import (
    CONSTANTS,
    GROUND,
    GROUND_FACTOR,
    constant_name,
    friction_name,
)
from fea.analysis.mode_samples import loss_name
from fea.case.schema import Case
from fea.case.work_holding import holding_spread
from fea.core.joint_surface import JointSurface
from fea.core.stack import Stack
from fea.core.strut import StrutLaw
from fea.core.surface_law import SurfaceLaw
from fea.machining.edge_stiffness import load_rubbing
from fea.machining.work_material import load_work_materials
from fea.measurement.unknowns import EYE, EYE_FACTOR, Unknowns
from geometry.pad import FloatArray

BAND = (0.05, 0.5, 0.95)
CONSTANTS_IN_WORDS = {
    "closure_um": "closing under pressure",
    "exponent": "exponent of closing",
    "tangential_ratio": "tangential over normal stiffness",
    "friction": "friction",
}
LOSS, FORCE, STIFFNESS = "loss factor", "force by its torque", "stiffness"
OF_THE_CUT = {
    TANGENTIAL: ("cut", "tangential force"),
    THRUST: ("cut", "thrust over tangential force"),
    CHUCK_STIFFNESS: ("chuck", STIFFNESS),
    CHUCK_DAMPING: ("chuck", "damping"),
    RUBBING: ("flank of the tool", "rubbing"),
}

OfQuantile = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True)
class ConstantAnswer:
    """One constant before and after the fit, over what was expected most.

    Parameters
    ----------
    name : as the samples have it
    member : of the stack, or what else it belongs to
    what : it is, in words
    before, after : (3,) 5, 50 and 95 %; the middle of `before` is 1
    spread : width of the band after over that before, both in ratio
    """

    name: str
    member: str
    what: str
    before: FloatArray
    after: FloatArray
    spread: float

    @property
    def moved(self) -> float:
        """How far the middle moved, over half the width of the band before."""
        half = np.log(self.before[2] / self.before[0]) / 2.0
        return float(abs(np.log(self.after[1] / self.before[1])) / half)


def constant_answers(
    case: Case, stacks: Sequence[Stack], unknowns: Unknowns, scores: FloatArray
) -> tuple[ConstantAnswer, ...]:
    """Return every constant that is uncertain at all.

    Parameters
    ----------
    case : whose stacks they are
    stacks : both
    unknowns : that were fitted
    scores : (s, d) known after the fit
    """
    quantiles = unknowns.quantiles(scores)
    found = []
    for name, member, what, of in _all(case, stacks, unknowns):
        before = np.sort(of(np.array(BAND)))
        after = np.quantile(of(quantiles[name]), BAND)
        width = np.log(before[2] / before[0])
        if width == 0.0:
            continue
        found.append(
            ConstantAnswer(
                name=name,
                member=member,
                what=what,
                before=before / before[1],
                after=after / before[1],
                spread=float(np.log(after[2] / after[0]) / width),
            )
        )
    return tuple(found)


def _all(
    case: Case, stacks: Sequence[Stack], unknowns: Unknowns
) -> Iterator[tuple[str, str, str, OfQuantile]]:
    """Name, member, words and value by quantile of every unknown."""
    for joint, surface in _surfaces(stacks).items():
        for constant in CONSTANTS:
            low, high = getattr(surface.spread, constant)
            words = CONSTANTS_IN_WORDS[constant]
            yield constant_name(joint, constant), joint, words, _ends(low, high)
    yield GROUND, "ground", STIFFNESS, _ends(1.0 / GROUND_FACTOR, GROUND_FACTOR)
    for member, scatter in _scatters(case).items():
        yield friction_name(scatter.screw), member, FORCE, scatter.factor
    for member, loss in unknowns.losses.items():
        if loss.value > 0.0:
            ends = _three(loss.low, loss.value, loss.high)
            yield loss_name(member), member, LOSS, ends
    for name, of in _of_the_cut(case).items():
        yield name, *OF_THE_CUT[name], of
    yield EYE, "eye", "least motion seen", _ends(1.0 / EYE_FACTOR, EYE_FACTOR)


def _surfaces(stacks: Sequence[Stack]) -> dict[str, JointSurface]:
    """Surface of every joint that lifts and slips; same name, same constants."""
    return {
        joint.name: joint.law.surface
        for stack in stacks
        for joint in stack.joints
        if isinstance(joint.law, SurfaceLaw | StrutLaw)
    }


def _scatters(case: Case) -> dict[str, Scatter]:
    """Return what clamps and scatters, one member for every screw.

    Numbered screws of both stacks have one name and are not the same, so the section
    of the case stands beside it.
    """
    found = {}
    for name in PLANS:
        for member, scatter in clamping_scatter(case, plan_stack(case, name)).items():
            section = scatter.screw.partition(":")[0]
            found[f"{member} ({section})"] = scatter
    return found


def _of_the_cut(case: Case) -> dict[str, OfQuantile]:
    material = load_work_materials()[case.work.material]
    spread, rubbing = holding_spread(case), load_rubbing()
    return {
        TANGENTIAL: _about_one(1.0 + material.spread),
        THRUST: _about_one(1.0 + material.thrust.spread),
        CHUCK_STIFFNESS: _about_one(spread.stiffness),
        CHUCK_DAMPING: _about_one(spread.damping),
        RUBBING: _three(rubbing.low, rubbing.constant, rubbing.high),
    }


def _ends(low: float, high: float) -> OfQuantile:
    return lambda quantile: log_normal(quantile, low, high)


def _three(low: float, middle: float, high: float) -> OfQuantile:
    return lambda quantile: split_log_normal(quantile, low, middle, high)


def _about_one(factor: float) -> OfQuantile:
    return _three(1.0 / factor, 1.0, factor)
