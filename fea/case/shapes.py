"""From a case to the solids of both stacks, or why they cannot be made."""

import re
from collections.abc import Callable, Mapping

from fea.case.fit import part_to_part_problems
from fea.case.post_section import WEDGE
from fea.case.problem import Problem
from fea.case.schema import Case
from fea.case.wording import collide
from geometry.dovetail import Dovetail
from geometry.errors import InputError, ShapeError
from geometry.parts.four_way_block import FourWayBlock
from geometry.parts.holder import Holder
from geometry.parts.lower_slide import LowerSlide
from geometry.parts.moving_flank import MovingFlank
from geometry.parts.post_body import PostBody
from geometry.parts.tool_bit import ToolBit
from geometry.parts.top_slide import TopSlide
from geometry.shape import Shape

TOOL_BIT = "tool bit"
HOLDER = "holder"
POST_BODY = "post body"
MOVING_FLANK = "moving flank"
FOUR_WAY_BLOCK = "four-way block"
TOP_SLIDE = "top slide"
LOWER_SLIDE = "lower slide"

_POST_DOVETAIL = "post.dovetail"
_WAYS = "machine.top_slide.ways"


def shapes(case: Case) -> dict[str, Shape]:
    """Return the solids of both stacks by the names of the parts.

    The moving flank is there only where the post is clamped by a wedge.

    Raises
    ------
    InputError
        One line for each set of dimensions that collide, by the case file's keys.
    """
    problems = fit_problems(case)
    if problems:
        raise InputError("\n".join(problem.text for problem in problems))
    return {name: make(case) for name, make in _makers(case).items()}


def fit_problems(case: Case) -> list[Problem]:
    """Return what keeps the parts from being made, or from going together."""
    problems = part_to_part_problems(case)
    for name, make in _makers(case).items():
        try:
            make(case)
        except ShapeError as error:
            problem = _in_case_words(case, name, error)
            if problem not in problems:
                problems.append(problem)
    return problems


def _makers(case: Case) -> dict[str, Callable[[Case], Shape]]:
    makers: dict[str, Callable[[Case], Shape]] = {
        TOOL_BIT: _tool_bit,
        HOLDER: _holder,
        POST_BODY: _post_body,
        MOVING_FLANK: _moving_flank,
        FOUR_WAY_BLOCK: _four_way_block,
        TOP_SLIDE: _top_slide,
        LOWER_SLIDE: _lower_slide,
    }
    if case.post.clamping.way != WEDGE:
        del makers[MOVING_FLANK]
    return makers


def post_dovetail(case: Case) -> Dovetail:
    """Return the dovetail between holder and post."""
    section = case.post.dovetail
    return Dovetail(
        width=section.width,
        depth=section.depth,
        angle_deg=section.angle,
        clearance=section.clearance,
    )


def ways(case: Case) -> Dovetail:
    """Return the dovetail ways between the slides."""
    section = case.machine.top_slide.ways
    return Dovetail(
        width=section.width,
        depth=section.depth,
        angle_deg=section.angle,
        clearance=section.clearance,
    )


def _tool_bit(case: Case) -> Shape:
    tool = case.tool
    return ToolBit(
        height=tool.shank_height,
        width=tool.shank_width,
        length=tool.length,
        tip_patch=tool.tip_patch,
    )


def _holder(case: Case) -> Shape:
    holder = case.holder
    return Holder(
        length=holder.length,
        height=holder.height,
        thickness=holder.thickness,
        floor=holder.floor,
        slot_height=holder.slot_height,
        slot_depth=holder.slot_depth,
        dovetail=post_dovetail(case),
        dovetail_offset=case.post.dovetail.offset_along,
    )


def _post_body(case: Case) -> Shape:
    post = case.post
    return PostBody(
        side=post.side,
        height=post.height,
        bore=post.bore,
        dovetail=post_dovetail(case),
        dovetail_offset=post.dovetail.offset_across,
        recess=post.clamping.recess,
    )


def _moving_flank(case: Case) -> Shape:
    return MovingFlank(
        height=case.post.height,
        dovetail=post_dovetail(case),
        recess=case.post.clamping.recess or 0.0,
    )


def _four_way_block(case: Case) -> Shape:
    block = case.block
    return FourWayBlock(
        side=block.side,
        height=block.height,
        bore=block.bore,
        floor=block.floor,
        slot_height=block.slot_height,
        slot_depth=block.slot_depth,
    )


def _top_slide(case: Case) -> Shape:
    slide = case.machine.top_slide
    return TopSlide(
        length=slide.length,
        width=slide.width,
        height=slide.height,
        stud_from_front=slide.stud_from_front,
        ways=ways(case),
        end_wall=slide.end_wall,
    )


def _lower_slide(case: Case) -> Shape:
    slide = case.machine.lower_slide
    return LowerSlide(
        length=slide.length, width=slide.width, height=slide.height, ways=ways(case)
    )


def _section_keys(section: str, dovetail: str) -> dict[str, str]:
    """Return a dovetail's own names, bare and within its part, to the case's keys."""
    names = {"width": "width", "depth": "depth", "clearance": "clearance"}
    names["angle_deg"] = "angle"
    return {f"{dovetail}{name}": f"{section}.{key}" for name, key in names.items()}


# The names that a part has for its dimensions, where the case file has others.
_KEYS: dict[str, dict[str, str]] = {
    TOOL_BIT: {
        "height": "tool.shank_height",
        "width": "tool.shank_width",
        "length": "tool.length",
        "tip_patch": "tool.tip_patch",
    },
    HOLDER: {"dovetail_offset": "post.dovetail.offset_along"}
    | _section_keys(_POST_DOVETAIL, "dovetail."),
    POST_BODY: {
        "dovetail_offset": "post.dovetail.offset_across",
        "recess": "post.clamping.recess",
    }
    | _section_keys(_POST_DOVETAIL, "dovetail."),
    MOVING_FLANK: {"recess": "post.clamping.recess"}
    | _section_keys(_POST_DOVETAIL, "dovetail."),
    FOUR_WAY_BLOCK: {},
    TOP_SLIDE: _section_keys(_WAYS, "ways."),
    LOWER_SLIDE: _section_keys(_WAYS, "ways."),
}
_SECTIONS = {
    HOLDER: "holder",
    POST_BODY: "post",
    MOVING_FLANK: "post",
    FOUR_WAY_BLOCK: "block",
    TOP_SLIDE: "machine.top_slide",
    LOWER_SLIDE: "machine.lower_slide",
}


def _key(part: str, field: str, *, is_dovetail: bool) -> str:
    """Return the case file's key for a dimension of a part, or of its dovetail."""
    if is_dovetail:
        section = _WAYS if part in {TOP_SLIDE, LOWER_SLIDE} else _POST_DOVETAIL
        return _section_keys(section, "")[field]
    keys: Mapping[str, str] = _KEYS[part]
    return keys.get(field) or f"{_SECTIONS[part]}.{field}"


def _in_case_words(case: Case, part: str, error: ShapeError) -> Problem:
    """Return what a part refuses, in the words of the case file."""
    is_dovetail = error.part == "dovetail"
    keys = {field: _key(part, field, is_dovetail=is_dovetail) for field in error.fields}
    why = error.problem
    for field, key in sorted(keys.items(), key=lambda pair: -len(pair[0])):
        why = re.sub(rf"(?<![\w.]){re.escape(field)} =", f"{key} =", why)
    named = (*keys.values(),)
    return Problem(keys=named, text=collide(case, named, why))
