"""Which part of the machine each member of a stack belongs to."""

import re
from collections.abc import Iterable
from enum import StrEnum

from fea.analysis.result import Share


class Group(StrEnum):
    """Where a member stands, from the cutting edge down."""

    TOOL = "tool"
    POST = "holder and post"
    SLIDES = "slides and machine"


MEMBERS: dict[Group, tuple[str, ...]] = {
    Group.TOOL: (
        "tool bit",
        "tool floor",
        "tool wall",
        "set screw",
        "shims",
        "tool on shims",
        "shims on block",
    ),
    Group.POST: (
        "holder",
        "post body",
        "moving flank",
        "four-way block",
        "fixed flank",
        "clamped flank",
        "moving flank back",
        "land near work",
        "land far",
        "base",
        "stud",
        "piston",
        "draw bolt",
    ),
    Group.SLIDES: (
        "top slide",
        "lower slide",
        "way near work",
        "way far",
        "way flank near work",
        "gib",
        "lead screw",
        "ground",
    ),
}
"""Every part, joint and link; of numbered ones ("set screw 2") the name alone."""

GROUP_OF = {name: group for group, names in MEMBERS.items() for name in names}
NUMBERED = re.compile(r"(?P<kind>.*\D) \d+")


def kind_name(name: str) -> str:
    """Name without its number: "set screw" of "set screw 2"."""
    match = NUMBERED.fullmatch(name)
    return match["kind"] if match else name


def group_of(name: str) -> Group:
    """Group of a part, joint or link; a name that nobody has grouped is an error."""
    try:
        return GROUP_OF[kind_name(name)]
    except KeyError:
        known = ", ".join(sorted(GROUP_OF))
        message = f"member {name!r} is in no group of the report (known: {known})"
        raise LookupError(message) from None


def group_fractions(shares: Iterable[Share]) -> dict[Group, float]:
    """Fraction of the tip's motion that each group gives; all groups are there."""
    fractions = dict.fromkeys(Group, 0.0)
    for share in shares:
        fractions[group_of(share.name)] += share.fraction
    return fractions


def merged(shares: Iterable[Share]) -> tuple[Share, ...]:
    """Numbered members of one kind added up, so that four screws are one entry."""
    totals: dict[Share, float] = {}
    for share in shares:
        key = Share(kind=share.kind, name=kind_name(share.name), fraction=0.0)
        totals[key] = totals.get(key, 0.0) + share.fraction
    return tuple(
        Share(kind=key.kind, name=key.name, fraction=total)
        for key, total in totals.items()
    )
