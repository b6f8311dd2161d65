"""Where joints begin to slip or to lift as the cut goes deeper."""

from dataclasses import dataclass
from enum import StrEnum

from fea.analysis.member import Group, group_of
from fea.analysis.result import JointResult, StackResult
from fea.report.number import setting


class Onset(StrEnum):
    """What begins."""

    SLIP = "slip"
    LIFT = "lift"


@dataclass(frozen=True, slots=True, kw_only=True)
class Beginning:
    """A joint begins to slip or lift at a nominal depth of cut."""

    onset: Onset
    joint: str
    depth_mm: float


def by_group(stack: StackResult) -> tuple[JointResult, ...]:
    """Joints from the cutting edge down; within a group as the stack has them."""
    order = list(Group)
    return tuple(sorted(stack.joints, key=lambda j: order.index(group_of(j.name))))


def beginnings(stack: StackResult) -> tuple[Beginning, ...]:
    """Return what begins above the slides, the shallowest cut first.

    Ways and gib are left out: they are adjusted to move, so that slip begins there
    with almost any cut.
    """
    found = [
        Beginning(onset=onset, joint=joint.name, depth_mm=depth)
        for joint in by_group(stack)
        if group_of(joint.name) is not Group.SLIDES
        for onset, depth in (
            (Onset.SLIP, joint.slips_at_mm),
            (Onset.LIFT, joint.lifts_at_mm),
        )
        if depth is not None
    ]
    return tuple(sorted(found, key=lambda each: each.depth_mm))


def beginnings_in_words(stack: StackResult) -> str:
    """“land far” slips from 0.6 mm, “tool floor” from 1.1 mm, ...; may be empty."""
    return ", ".join(
        f"“{each.joint}” {each.onset}s from {setting(each.depth_mm)} mm"
        for each in beginnings(stack)
    )
