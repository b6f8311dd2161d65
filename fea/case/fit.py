"""What must hold between parts, so that they can be put together at centre height."""

from collections.abc import Iterator

from fea.case.defaults import NOTHING_MM
from fea.case.post_section import DRAW, PISTON, WEDGE
from fea.case.problem import Problem
from fea.case.schema import Case
from fea.case.tightening_problem import breaking_problems
from fea.case.unit_registry import LENGTH
from fea.case.wording import collide, shown_quantity
from fea.case.work_fit import work_problems

# A holder that rubs on the slide does not seat on its dovetail. [mm]
LEAST_CLEARANCE_MM = 0.5

# With less of its height on the body's dovetail a holder hangs by a corner.
LEAST_ENGAGEMENT = 0.6

# With less of its base on the slide a post rocks.
LEAST_SEAT = 0.75

# With less of its shank held a tool swings around a single screw.
LEAST_HELD = 0.5

Found = Iterator[Problem]


def part_to_part_problems(case: Case) -> list[Problem]:
    """Return every pair of dimensions that cannot be put together."""
    checks = (
        _height,
        _holder_slot,
        _holder_height,
        _block_slot,
        _shims,
        _shank_length,
        _screws,
        _seat,
        _stud,
        _slides,
        _way_has_it,
        breaking_problems,
        work_problems,
    )
    return [problem for check in checks for problem in check(case)]


def holder_bottom(case: Case) -> float:
    """Return how high the holder's bottom is over the slide, tool at centre. [mm]."""
    return case.machine.tool_height - case.tool.shank_height - case.holder.floor


def engagement(case: Case) -> float:
    """Return how much of the holder's height is on the body's dovetail. [mm]."""
    bottom = holder_bottom(case)
    top = bottom + case.holder.height
    return max(0.0, min(top, case.post.height) - max(bottom, 0.0))


def packing(case: Case) -> float:
    """Return how much is to be packed under the tool in the block. [mm]."""
    return case.machine.tool_height - case.block.floor - case.tool.shank_height


def _problem(case: Case, keys: list[str], why: str) -> Problem:
    return Problem(keys=(*keys,), text=collide(case, keys, why))


def _mm(value: float) -> str:
    return shown_quantity(value, LENGTH)


def _height(case: Case) -> Found:
    machine = case.machine
    slides = machine.top_slide.height + machine.lower_slide.height
    left = machine.centre_height - machine.tool_height - slides
    if left < 0.0:
        keys = [
            "machine.centre_height",
            "machine.tool_height",
            "machine.top_slide.height",
            "machine.lower_slide.height",
        ]
        why = (
            f"the lower slide would reach {_mm(-left)} below the bed; "
            "centre_height is measured from the bed, tool_height from the post's seat"
        )
        yield _problem(case, keys, why)


def _holder_slot(case: Case) -> Found:
    if case.holder.slot_height < case.tool.shank_height:
        keys = ["holder.slot_height", "tool.shank_height"]
        yield _problem(case, keys, "the shank does not go in; make the slot higher")
    if case.holder.slot_depth < case.tool.shank_width:
        keys = ["holder.slot_depth", "tool.shank_width"]
        yield _problem(case, keys, "the shank stands out of the slot; make it deeper")


def _holder_height(case: Case) -> Found:
    bottom = holder_bottom(case)
    if bottom < LEAST_CLEARANCE_MM:
        keys = ["holder.floor", "tool.shank_height", "machine.tool_height"]
        why = (
            f"with the tool at centre height the holder's bottom is {_mm(bottom)} over "
            f"the slide, at least {_mm(LEAST_CLEARANCE_MM)} is needed; take a lower "
            "shank or a thinner floor"
        )
        yield _problem(case, keys, why)
        return
    share = engagement(case) / case.holder.height
    if share < LEAST_ENGAGEMENT:
        keys = ["post.height", "holder.height", "holder.floor"]
        why = (
            f"with the tool at centre height only {share:.0%} of the holder's height "
            f"is on the dovetail, at least {LEAST_ENGAGEMENT:.0%} is needed; make the "
            f"post higher (the holder's top is at {_mm(bottom + case.holder.height)})"
        )
        yield _problem(case, keys, why)


def _block_slot(case: Case) -> Found:
    room = packing(case)
    if room < -NOTHING_MM:
        keys = ["block.floor", "tool.shank_height", "machine.tool_height"]
        why = (
            f"the cutting edge would be {_mm(-room)} above centre; take a lower shank "
            "or a lower floor"
        )
        yield _problem(case, keys, why)
        return
    if case.block.slot_height < room + case.tool.shank_height - NOTHING_MM:
        keys = ["block.slot_height", "machine.tool_height", "block.floor"]
        why = (
            f"shank and shims are {_mm(room + case.tool.shank_height)} high; make the "
            "slot higher"
        )
        yield _problem(case, keys, why)
    if case.block.slot_depth < case.tool.shank_width:
        keys = ["block.slot_depth", "tool.shank_width"]
        yield _problem(case, keys, "the shank stands out of the slot; make it deeper")


def _shims(case: Case) -> Found:
    room, count = packing(case), case.block.shims.count
    keys = ["block.shims.count", "machine.tool_height", "block.floor"]
    if count == 0 and room > NOTHING_MM:
        why = f"{_mm(room)} is to be packed under the tool; give at least one shim"
        yield _problem(case, keys, why)
    if count > 0 and abs(room) <= NOTHING_MM:
        why = "nothing is to be packed under the tool; set the count to 0"
        yield _problem(case, keys, why)


def _shank_length(case: Case) -> Found:
    held = case.tool.length - case.tool.overhang
    for key, span in (
        ("holder.length", case.holder.length),
        ("block.side", case.block.side),
    ):
        if held < LEAST_HELD * span:
            keys = ["tool.length", "tool.overhang", key]
            why = (
                f"only {_mm(held)} of the shank is held, at least "
                f"{_mm(LEAST_HELD * span)} is needed; take a longer tool or a shorter "
                "overhang"
            )
            yield _problem(case, keys, why)


def _screws(case: Case) -> Found:
    held = case.tool.length - case.tool.overhang
    sections = (
        ("holder", "holder.length", case.holder.length, case.holder.screws),
        ("block", "block.side", case.block.side, case.block.screws),
    )
    for name, span_key, span, screws in sections:
        if screws.count * screws.diameter > min(span, held):
            keys = [
                f"{name}.screws.count",
                f"{name}.screws.diameter",
                span_key,
                "tool.length",
                "tool.overhang",
            ]
            why = (
                "the screws do not go side by side on the "
                f"{_mm(min(span, held))} of shank that they hold; take fewer or "
                "smaller ones"
            )
            yield _problem(case, keys, why)
        if screws.diameter > case.tool.shank_width:
            keys = [f"{name}.screws.diameter", "tool.shank_width"]
            why = "the screw is wider than the shank; take a smaller one"
            yield _problem(case, keys, why)


def _seat(case: Case) -> Found:
    slide = case.machine.top_slide
    for key, side in (("post.side", case.post.side), ("block.side", case.block.side)):
        if side / 2.0 > slide.stud_from_front:
            keys = [key, "machine.top_slide.stud_from_front"]
            why = (
                "it stands out past the slide's front; make it smaller or move the "
                f"stud back to {_mm(side / 2.0)}"
            )
            yield _problem(case, keys, why)
        if side / 2.0 > slide.length - slide.stud_from_front:
            keys = [
                key,
                "machine.top_slide.length",
                "machine.top_slide.stud_from_front",
            ]
            yield _problem(case, keys, "it stands out past the slide's back end")
        if slide.width < LEAST_SEAT * side:
            keys = [key, "machine.top_slide.width"]
            why = (
                f"less than {LEAST_SEAT:.0%} of its base is on the slide; make it "
                f"{_mm(slide.width / LEAST_SEAT)} or smaller"
            )
            yield _problem(case, keys, why)


def _stud(case: Case) -> Found:
    for key, bore in (("post.bore", case.post.bore), ("block.bore", case.block.bore)):
        if bore < case.machine.stud.diameter:
            keys = [key, "machine.stud.diameter"]
            yield _problem(case, keys, "the stud does not go in; make the bore wider")


def _slides(case: Case) -> Found:
    top, lower = case.machine.top_slide, case.machine.lower_slide
    groove = top.length - top.end_wall
    if top.runs_out + lower.length > groove:
        keys = [
            "machine.lower_slide.length",
            "machine.top_slide.runs_out",
            "machine.top_slide.length",
            "machine.top_slide.end_wall",
        ]
        why = (
            f"the top slide's groove is {_mm(groove)} long, the slide below and the "
            f"run-out take {_mm(top.runs_out + lower.length)}; shorten one of them"
        )
        yield _problem(case, keys, why)


def _way_has_it(case: Case) -> Found:
    clamping = case.post.clamping
    for name, value, what, ways in (
        ("recess", clamping.recess, "moving flank", (WEDGE,)),
        ("taper", clamping.taper, "wedge", (WEDGE,)),
        ("rod_length", clamping.rod_length, "piston or draw bolt", (PISTON, DRAW)),
    ):
        if value is not None and clamping.way not in ways:
            keys = [f"post.clamping.{name}", "post.clamping.way"]
            having = " or ".join(f"'{way}'" for way in ways)
            why = f"only way = {having} has a {what}; remove {name}"
            yield _problem(case, keys, why)
