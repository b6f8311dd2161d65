"""Clamping forces that scatter: they follow from a torque by way of friction."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

import numpy as np

from fea.analysis.distribution import split_log_normal
from fea.analysis.draw import friction_name
from fea.analysis.fitted import EXPECTED, fitted
from fea.analysis.stack_names import FOUR_WAY, QUICK_CHANGE
from fea.case.schema import Case
from fea.case.tightening import (
    BLOCK_SCREWS,
    CLAMPING,
    HOLDER_SCREWS,
    STUD,
    Drive,
    Tightening,
    case_drive,
    force_from_torque,
    look_in,
)
from fea.core.lubrication import Friction, Lubrication
from fea.core.plan import StackPlan
from geometry.pad import FloatArray

# Which screw's torque a joint is driven or a link is tightened by.
TIGHTENED_BY = {
    "stud": STUD,
    "moving flank back": CLAMPING,
    "piston": CLAMPING,
    "draw bolt": CLAMPING,
}
SET_SCREW = re.compile(r"set screw \d+")
SET_SCREWS = {QUICK_CHANGE: HOLDER_SCREWS, FOUR_WAY: BLOCK_SCREWS}


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """What the clamping force of a joint or link depends on, beside the torque.

    Parameters
    ----------
    screw : that is turned; members of two stacks that have it in common have its
        friction in common
    drive : what its torque works through
    middle : quantile of the friction in the stack as it is drawn
    """

    screw: str
    drive: Drive
    middle: float = EXPECTED

    def factor(self, quantile: FloatArray) -> FloatArray:
        """Force over that of the stack as drawn, at quantiles of the friction. (s,).

        All that rubs (thread, bearing, wedge) is as slippery or sticky as the rest.
        """
        # The force is proportional to the torque, so any torque does.
        drawn, *forces = (
            force_from_torque(self.drive, 1.0, friction)
            for friction in _frictions(
                self.drive.lubrication, np.append(self.middle, quantile)
            )
        )
        return np.array(forces) / drawn


def clamping_scatter(case: Case, plan: StackPlan) -> Mapping[str, Scatter]:
    """Return what scatters in a stack, about the middle that a fit found if any.

    See `expected_scatter`.
    """
    known = fitted(case)
    return {
        name: replace(each, middle=known.middle(friction_name(each.screw)))
        for name, each in expected_scatter(case, plan).items()
    }


def expected_scatter(case: Case, plan: StackPlan) -> Mapping[str, Scatter]:
    """Return what scatters in a stack, by names of joints and links, before any fit.

    A force that the case states, or that is a default, has no scatter: it is not known
    how it is brought about.
    """
    found = {}
    links = [link.name for link in plan.links]
    for member in [*links, *(joint.name for joint in plan.joints)]:
        tightening = _tightened_by(member, plan.name)
        if tightening is None or look_in(case)(tightening.torque) is None:
            continue
        found[member] = Scatter(
            screw=f"{tightening.section}: {member}",
            drive=case_drive(case, tightening),
        )
    return found


def _tightened_by(member: str, stack: str) -> Tightening | None:
    if SET_SCREW.fullmatch(member):
        return SET_SCREWS[stack]
    return TIGHTENED_BY.get(member)


def _frictions(lubrication: Lubrication, quantile: FloatArray) -> list[Friction]:
    names = [field.name for field in fields(Friction)]
    columns = [
        split_log_normal(
            quantile,
            getattr(lubrication.slippery, name),
            getattr(lubrication.friction, name),
            getattr(lubrication.sticky, name),
        ).tolist()
        for name in names
    ]
    return [
        Friction(**dict(zip(names, row, strict=True)))
        for row in zip(*columns, strict=True)
    ]
