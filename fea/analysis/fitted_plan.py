"""A drawn stack with the constants that a fit found in place of the expected ones."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from fea.analysis.clamping_scatter import Scatter, expected_scatter
from fea.analysis.distribution import log_normal
from fea.analysis.draw import (
    CONSTANTS,
    GROUND,
    constant_name,
    friction_name,
    ground_factor,
)
from fea.analysis.fitted import Fitted, fitted
from fea.case.schema import Case
from fea.case.table_spread import ground_spread
from fea.core.joint import FootLaw, Joint, Law, LinearLaw, Link
from fea.core.joint_surface import JointSurface
from fea.core.plan import StackPlan
from fea.core.strut import StrutLaw
from fea.core.surface_law import SurfaceLaw


def as_fitted(case: Case, plan: StackPlan) -> StackPlan:
    """Return the plan with fitted constants; the same where nothing was fitted."""
    known = fitted(case)
    if not known.calibration.constants:
        return plan
    scatter, ground = expected_scatter(case, plan), _ground(case, known)
    return replace(
        plan,
        joints=tuple(_joint(each, known, scatter, ground) for each in plan.joints),
        links=tuple(_link(each, known, scatter) for each in plan.links),
    )


def _ground(case: Case, known: Fitted) -> float:
    """Fitted stiffness of the ground over the expected one."""
    if not known.knows(GROUND):
        return 1.0
    return ground_factor(known.middle(GROUND), ground_spread(case))


def _joint(
    joint: Joint, known: Fitted, scatter: Mapping[str, Scatter], ground: float
) -> Joint:
    force = _force_factor(joint.name, known, scatter)
    return replace(joint, law=_law(joint, known, force, ground))


def _law(joint: Joint, known: Fitted, force: float, ground: float) -> Law:
    law = joint.law
    if isinstance(law, SurfaceLaw):
        drive = None if law.drive is None else law.drive * force
        surface = _surface(joint.name, law.surface, known)
        return replace(law, surface=surface, pressure=law.pressure * force, drive=drive)
    if isinstance(law, StrutLaw):
        surface = _surface(joint.name, law.surface, known)
        return replace(law, surface=surface, force=law.force * force)
    if isinstance(law, FootLaw):
        return replace(law, springs=_stiffer(law.springs, ground))
    return law


def _surface(joint: str, surface: JointSurface, known: Fitted) -> JointSurface:
    """Constants at their fitted middle; their bands stay those that are expected."""
    changed = {
        each: float(
            log_normal(
                np.array(known.middle(constant_name(joint, each))),
                *getattr(surface.spread, each),
            )
        )
        for each in CONSTANTS
        if known.knows(constant_name(joint, each))
    }
    return replace(surface, **changed)  # type: ignore[arg-type]


def _stiffer(springs: LinearLaw, factor: float) -> LinearLaw:
    return LinearLaw(
        first=springs.first * factor,
        second=springs.second * factor,
        normal=springs.normal * factor,
    )


def _link(link: Link, known: Fitted, scatter: Mapping[str, Scatter]) -> Link:
    return replace(
        link, preload=link.preload * _force_factor(link.name, known, scatter)
    )


def _force_factor(member: str, known: Fitted, scatter: Mapping[str, Scatter]) -> float:
    """Fitted clamping force of a member over the expected one."""
    if member not in scatter:
        return 1.0
    own = scatter[member]
    middle = np.array([known.middle(friction_name(own.screw))])
    return float(own.factor(middle)[0])
