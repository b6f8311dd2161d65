"""What follows from a case before anything is computed: walls, masses, clearances."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi

from fea.case.fit import (
    LEAST_CLEARANCE_MM,
    engagement,
    holder_bottom,
    packing,
)
from fea.case.schema import Case
from fea.case.shapes import (
    FOUR_WAY_BLOCK,
    HOLDER,
    LOWER_SLIDE,
    MOVING_FLANK,
    POST_BODY,
    TOOL_BIT,
    TOP_SLIDE,
    post_dovetail,
    shapes,
)
from fea.case.tightening import STUD, proof_share
from fea.case.unit_registry import (
    LENGTH,
    MASS,
    PRESSURE,
    RATIO,
    SHARE,
    QuantityKind,
)
from fea.case.work_derived import work_rows
from fea.core.material import Material, load_materials
from fea.core.thread import stress_area
from geometry.units import KG_PER_TONNE


@dataclass(frozen=True, slots=True, kw_only=True)
class Derived:
    """A value that follows from the case.

    Parameters
    ----------
    name : what it is, in words
    value : in the unit of `kind`
    kind : what it measures
    """

    name: str
    value: float
    kind: QuantityKind


def derive(case: Case) -> tuple[Derived, ...]:
    """Return every derived value, in the order in which a person checks them."""
    groups = (_walls, _heights, _tool, _pressures, _masses, work_rows)
    return tuple(
        Derived(name=name, value=value, kind=kind)
        for group in groups
        for name, value, kind in group(case)
    )


def part_materials(case: Case) -> dict[str, Material]:
    """Return what each part is made of, by the names of `shapes`."""
    materials = load_materials()
    keys = {
        TOOL_BIT: case.tool.material,
        HOLDER: case.holder.material,
        POST_BODY: case.post.material,
        MOVING_FLANK: case.post.material,
        FOUR_WAY_BLOCK: case.block.material,
        TOP_SLIDE: case.machine.material,
        LOWER_SLIDE: case.machine.material,
    }
    return {part: materials[key] for part, key in keys.items()}


def seat_area(case: Case, side: float, bore: float) -> float:
    """Return the area on which a square base with a bore sits on the slide. [mm²]."""
    across = min(side, case.machine.top_slide.width)
    return side * across - pi / 4.0 * bore**2


def stud_stress(case: Case) -> float:
    """Return the pull in the stud over its stress area. [MPa]."""
    stud = case.machine.stud
    return stud.preload / stress_area(stud.diameter)


def tallest_shank(case: Case) -> float:
    """Return the highest shank that the holder takes to centre height. [mm]."""
    room = case.machine.tool_height - case.holder.floor - LEAST_CLEARANCE_MM
    return min(room, case.holder.slot_height)


def thinnest_wall(case: Case) -> float:
    """Return the thinnest wall of holder and body. [mm]."""
    post = case.post
    in_holder = [value for name, value, _ in _walls(case) if "wall" in name]
    beside = (post.side - post.dovetail.width) / 2.0 - abs(post.dovetail.offset_across)
    return min(*in_holder, beside, (post.side - post.bore) / 2.0)


def part_masses(case: Case) -> dict[str, float]:
    """Return the mass of every part, by the names of `shapes`. [kg]."""
    materials = part_materials(case)
    return {
        part: shape.volume * materials[part].density_t_mm3 * KG_PER_TONNE
        for part, shape in shapes(case).items()
    }


Row = tuple[str, float, QuantityKind]


def _walls(case: Case) -> Iterator[Row]:
    holder, dovetail = case.holder, post_dovetail(case)
    over = holder.height - holder.floor - holder.slot_height
    behind = holder.thickness - holder.slot_depth - dovetail.female_depth
    beside = (holder.length - dovetail.female_width) / 2.0
    beside -= abs(case.post.dovetail.offset_along)
    yield "holder: wall left under the slot", holder.floor, LENGTH
    yield "holder: wall over the slot, for the screws", over, LENGTH
    yield "holder: wall between slot and dovetail", behind, LENGTH
    yield "holder: thinner wall beside the dovetail", beside, LENGTH
    yield "dovetail: width at its root", dovetail.root_width, LENGTH


def _heights(case: Case) -> Iterator[Row]:
    held = engagement(case)
    count = case.block.shims.count
    yield (
        "holder: clearance over the slide, tool at centre",
        holder_bottom(case),
        LENGTH,
    )
    yield (
        "holder: tallest shank that reaches centre height",
        tallest_shank(case),
        LENGTH,
    )
    in_block = case.machine.tool_height - case.block.floor
    yield "block: tallest shank that reaches centre height", in_block, LENGTH
    yield "block: packing under the tool", packing(case), LENGTH
    if count:
        yield "block: height of each shim", packing(case) / count, LENGTH
    yield "dovetail: length in engagement", held, LENGTH
    yield "dovetail: share of the holder's height", held / case.holder.height, SHARE


def _tool(case: Case) -> Iterator[Row]:
    tool = case.tool
    held = min(tool.length - tool.overhang, case.holder.length)
    yield "tool: overhang over shank height", tool.overhang / tool.shank_height, RATIO
    yield "tool: length held in the holder", held, LENGTH


def _pressures(case: Case) -> Iterator[Row]:
    preload = case.machine.stud.preload
    post, block = case.post, case.block
    on_post = preload / seat_area(case, post.side, post.bore)
    on_block = preload / seat_area(case, block.side, block.bore)
    yield "post: mean pressure under its base", on_post, PRESSURE
    yield "block: mean pressure under its base", on_block, PRESSURE
    yield "stud: stress from its preload", stud_stress(case), PRESSURE
    yield "stud: share of its proof load", proof_share(case, STUD), SHARE


def _masses(case: Case) -> Iterator[Row]:
    mass = part_masses(case)
    for part, value in mass.items():
        yield f"mass: {part}", value, MASS
    quick_change = (TOOL_BIT, HOLDER, POST_BODY, MOVING_FLANK)
    total = sum(mass.get(part, 0.0) for part in quick_change)
    yield "mass: quick-change post with holder and tool", total, MASS
    plain = mass[FOUR_WAY_BLOCK] + mass[TOOL_BIT]
    yield "mass: four-way block with tool", plain, MASS
