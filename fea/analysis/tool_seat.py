"""The tool bit in its slot: on floor or shims, against the wall, under set screws."""

from dataclasses import dataclass

import numpy as np

from fea.analysis.joint_laws import closed, leaning, pushing, rod_stiffness
from fea.analysis.plan_builder import PlanBuilder
from fea.analysis.rectangle import Range, X, Y, Z, rectangle, square
from fea.case.post_section import ToolScrews
from fea.case.schema import Case
from fea.core.joint import PadRef
from fea.core.material import load_materials
from fea.core.thread import point_area
from geometry.pad import FloatArray
from geometry.parts.shim_pack import ShimPack
from geometry.parts.tool_bit import ToolBit

# A pack thinner than this is not meshed; its faces still count. [mm]
THINNEST_PACK = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A tool slot where it stands in the machine frame.

    Parameters
    ----------
    part : holder or block
    front : x of the slot's end nearest the work [mm]
    length : along the tool [mm]
    depth : across the tool, from the open side [mm]
    floor, roof : z [mm]
    wall : how far its inner wall reaches, from and to along x [mm]
    screws : that press the tool down
    """

    part: str
    front: float
    length: float
    depth: float
    floor: float
    roof: float
    wall: Range
    screws: ToolScrews


def place_tool(builder: PlanBuilder, case: Case, tool: ToolBit) -> PadRef:
    """Put the tool bit with its tip at the origin; the patch that carries the force."""
    material = load_materials()[case.tool.material]
    builder.place("tool bit", tool, material, np.zeros(3))
    tip = square("tip", np.zeros(3), X, Y, tool.tip_patch)
    return builder.patch("tool bit", tip)


def slot_wall(tool: ToolBit) -> float:
    """Return y of the slot's inner wall, which the shank lies against. [mm]."""
    return tool.width - tool.tip_patch / 2.0


def add_tool_seat(
    builder: PlanBuilder, case: Case, tool: ToolBit, slot: Slot, shims: int
) -> None:
    """Join the tool to the slot's floor, over shims if any, its wall and its screws."""
    seat = _seat(tool, slot)
    force = slot.screws.force * slot.screws.count
    surface = slot.screws.surface
    pack = -tool.height - slot.floor
    if pack < THINNEST_PACK:
        floor = rectangle("tool floor", *seat)
        law = closed(surface, force, floor, faces=shims + 1)
        builder.join(slot.part, "tool bit", floor, law)
    else:
        _add_shims(builder, case, slot, seat, (pack, force, shims))
    _add_wall(builder, tool, slot, seat)
    _add_screws(builder, case, slot, seat)


Seat = tuple[
    FloatArray, FloatArray, FloatArray, tuple[float, float], tuple[float, float]
]


def _seat(tool: ToolBit, slot: Slot) -> Seat:
    """Where the shank lies on its seat: corner, directions, ranges along and across."""
    wall = slot_wall(tool)
    tail = tool.length - tool.tip_patch / 2.0
    along = (slot.front, min(slot.front + slot.length, tail))
    across = (wall - min(tool.width, slot.depth), wall)
    return -tool.height * Z, X, Y, along, across


def _add_shims(
    builder: PlanBuilder,
    case: Case,
    slot: Slot,
    seat: Seat,
    pack: tuple[float, float, int],
) -> None:
    """Add the pack as one plate; its inner faces are shared out to its two joints."""
    height, force, count = pack
    corner, first, second, along, across = seat
    plate = ShimPack(
        length=along[1] - along[0], width=across[1] - across[0], height=height
    )
    steel = load_materials()[case.tool.material]
    origin = corner + along[0] * X + across[0] * Y - height * Z
    builder.place("shims", plate, steel, origin)
    faces = (count + 1) / 2.0
    surface = case.block.shims.surface
    for name, lower, upper, drop in (
        ("shims on block", slot.part, "shims", height),
        ("tool on shims", "shims", "tool bit", 0.0),
    ):
        pad = rectangle(name, corner - drop * Z, first, second, along, across)
        builder.join(lower, upper, pad, closed(surface, force, pad, faces))


def _add_wall(builder: PlanBuilder, tool: ToolBit, slot: Slot, seat: Seat) -> None:
    """Lay the shank's side against the slot's inner wall, where there is one."""
    along = max(seat[3][0], slot.wall[0]), min(seat[3][1], slot.wall[1])
    corner = slot_wall(tool) * Y
    wall = rectangle("tool wall", corner, X, Z, along, (-tool.height, 0.0))
    builder.join(slot.part, "tool bit", wall, leaning(slot.screws.surface, wall))


def _add_screws(builder: PlanBuilder, case: Case, slot: Slot, seat: Seat) -> None:
    """Set screws from the slot's roof onto the tool, evenly spread along the seat."""
    along, across = seat[3], seat[4]
    screws = slot.screws
    pitch = (along[1] - along[0]) / screws.count
    steel = load_materials()[case.machine.stud.material]
    rod = rod_stiffness(screws.diameter, slot.roof, slot.roof, steel)
    bearing = point_area(screws.diameter)
    side = min(screws.diameter, across[1] - across[0])
    for number in range(1, screws.count + 1):
        x = along[0] + (number - 0.5) * pitch
        foot = square(
            f"screw {number}", np.array([x, sum(across) / 2.0, 0.0]), X, Y, side
        )
        law = pushing(screws.surface, screws.force, foot, bearing, rod)
        ends = (("tool bit", foot), (slot.part, foot.moved(slot.roof * Z)))
        builder.strut(f"set screw {number}", ends, law)
