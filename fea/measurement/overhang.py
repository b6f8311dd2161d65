"""A tool that sticks out farther, or less far, than in its case."""

from fea.case.fit import part_to_part_problems
from fea.case.schema import Case

LEAST_MM = 10.0
"""Sticks out at least, so that a hook and an indicator find room (assumed)."""
APART = 0.15
"""Overhangs closer than this, in ratio, tell the same."""


def with_overhang(case: Case, overhang_mm: float | None) -> Case:
    """Return a case with another overhang, or itself for None."""
    if overhang_mm is None:
        return case
    tool = case.tool.model_copy(update={"overhang": overhang_mm})
    return case.model_copy(update={"tool": tool})


def other_overhangs(case: Case) -> tuple[float, ...]:
    """Shortest and longest overhang that the case allows, where they are others. [mm].

    The longest leaves the shank in the holder along all of its slot, so that every
    screw still presses on it.
    """
    own = case.tool.overhang
    longest = float(int(case.tool.length - case.holder.length))
    return tuple(
        each
        for each in (LEAST_MM, longest)
        if each >= LEAST_MM
        and abs(each / own - 1.0) > APART
        and not part_to_part_problems(with_overhang(case, each))
    )
