"""The quick-change stack: tool in holder, holder on dovetail, post on the slides."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import cos, radians, sin

import numpy as np

from fea.analysis.joint_laws import (
    bonded,
    closed,
    driven,
    pushing,
    rod_stiffness,
)
from fea.analysis.plan_builder import PlanBuilder
from fea.analysis.rectangle import X, Y, Z, rectangle, square
from fea.analysis.slides import add_seat, add_slides
from fea.analysis.tool_seat import Slot, add_tool_seat, place_tool, slot_wall
from fea.case.post_section import DRAW, PISTON, SOLID, WEDGE
from fea.case.schema import Case
from fea.case.tightening import wedge_self_holding
from fea.core.joint import Law
from fea.core.material import load_materials
from fea.core.plan import StackPlan
from fea.core.thread import axial_stiffness
from geometry.dovetail import flank_pad
from geometry.pad import FloatArray, Pad
from geometry.parts.holder import Holder
from geometry.parts.moving_flank import MovingFlank
from geometry.parts.post_body import PostBody
from geometry.parts.tool_bit import ToolBit
from geometry.shape import Shape

FIXED, CLAMPED = "fixed flank", "clamped flank"
NEAR, FAR = "land near work", "land far"

# Which surfaces carry preload, and with it the joint, for each way of clamping.
CARRYING = {
    WEDGE: (FIXED, CLAMPED, NEAR, FAR),
    PISTON: (FIXED, CLAMPED),
    DRAW: (NEAR, FAR),
    SOLID: (FIXED, CLAMPED, NEAR, FAR),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Where holder and body stand.

    Parameters
    ----------
    holder : (3,) origin of the holder [mm]
    root : (3,) middle of the dovetail's root, at the bottom of the body [mm]
    seat : (3,) where the stud leaves the top slide [mm]
    """

    holder: FloatArray
    root: FloatArray
    seat: FloatArray


def quick_change_plan(case: Case, shapes: Mapping[str, Shape]) -> StackPlan:
    """Draw the quick-change stack of a case. `shapes` by part name."""
    tool, holder, body = _shapes(shapes)
    at = _place(case, tool, holder, body)
    materials = load_materials()
    builder = PlanBuilder("quick-change")
    tip = place_tool(builder, case, tool)
    builder.place("holder", holder, materials[case.holder.material], at.holder)
    builder.place("post body", body, materials[case.post.material], at.seat)
    slot = Slot(
        part="holder",
        front=float(at.holder[0]),
        length=holder.length,
        depth=holder.slot_depth,
        floor=-tool.height,
        roof=holder.slot_height - tool.height,
        wall=(float(at.holder[0]), float(at.holder[0]) + holder.length),
        screws=case.holder.screws,
    )
    add_tool_seat(builder, case, tool, slot, shims=0)
    flank = shapes.get("moving flank")
    if isinstance(flank, MovingFlank):
        material = materials[case.post.material]
        builder.place("moving flank", flank, material, at.root)
    _add_dovetail(builder, case, holder, body, at)
    add_slides(builder, case, shapes, at.seat)
    add_seat(builder, case, "post body", body, at.seat)
    return builder.finish(tip)


def _shapes(shapes: Mapping[str, Shape]) -> tuple[ToolBit, Holder, PostBody]:
    tool, holder, body = (shapes[n] for n in ("tool bit", "holder", "post body"))
    if not (
        isinstance(tool, ToolBit)
        and isinstance(holder, Holder)
        and isinstance(body, PostBody)
    ):
        raise TypeError(shapes)
    return tool, holder, body


def _place(case: Case, tool: ToolBit, holder: Holder, body: PostBody) -> Placed:
    front = case.tool.overhang
    face = slot_wall(tool) + holder.thickness - holder.slot_depth
    seat = -case.machine.tool_height
    middle = front + holder.length / 2.0 - holder.dovetail_offset
    stud = np.array([middle + body.dovetail_offset, face + body.side / 2.0, seat])
    return Placed(
        holder=np.array([front, face, -tool.height - holder.floor]),
        root=np.array([middle, face, seat]),
        seat=stud,
    )


def _add_dovetail(
    builder: PlanBuilder, case: Case, holder: Holder, body: PostBody, at: Placed
) -> None:
    """Join holder and body where the way of clamping presses them together."""
    low = max(0.0, float(at.holder[2] - at.root[2]))
    high = min(body.height, float(at.holder[2] - at.root[2]) + holder.height)
    pads = _dovetail_pads(holder, body, at, (low, high))
    laws = _laws(case, pads)
    wedged = case.post.clamping.way == WEDGE
    for name in CARRYING[case.post.clamping.way]:
        lower = "moving flank" if wedged and name == CLAMPED else "post body"
        builder.join(lower, "holder", pads[name], laws[name])
    if wedged:
        _add_back(builder, case, body, at)
    if case.post.clamping.way in {PISTON, DRAW}:
        _add_pull(builder, case, body, at, (low + high) / 2.0)


def _add_back(builder: PlanBuilder, case: Case, body: PostBody, at: Placed) -> None:
    """Drive the moving flank out of its recess by a wedge behind it.

    The wedge adds a pair of faces, and its guide takes the thrust along the recess
    that friction cannot.
    """
    clamping = case.post.clamping
    back = _back_pad(body, at)
    force = clamping.force * sin(radians(body.dovetail.angle_deg))
    yields = not wedge_self_holding(case)
    law = driven(clamping.surface, force, back, faces=2.0, yields=yields)
    builder.join("post body", "moving flank", back, replace(law, keyed=True))


def _add_pull(
    builder: PlanBuilder, case: Case, body: PostBody, at: Placed, height: float
) -> None:
    """Add a piston or draw bolt between the dovetail's top and the holder.

    The screw that drives it holds by itself, so it keeps its place when the cut comes:
    a piston is a strut of the body, a draw bolt a spring.
    """
    clamping = case.post.clamping
    side, gap = body.dovetail.depth, body.dovetail.clearance
    end = at.root - side * Y + height * Z
    steel = load_materials()[case.machine.stud.material]
    diameter, length = clamping.screw_diameter, clamping.rod_length or 0.0
    if clamping.way == DRAW:
        ends = (
            ("post body", square("draw bolt end", end, X, Z, side)),
            ("holder", square("draw bolt seat", end - gap * Y, X, Z, side)),
        )
        k = axial_stiffness(diameter, length, 2, steel.youngs_modulus_mpa)
        builder.link("draw bolt", ends, k, clamping.force)
        return
    floor = square("piston seat", end - gap * Y, Z, X, side)
    rod = rod_stiffness(diameter, length, gap, steel)
    law = pushing(clamping.surface, clamping.force, floor, floor.area, rod)
    root = square("piston end", end, Z, X, side)
    builder.strut("piston", (("holder", floor), ("post body", root)), law)


def _dovetail_pads(
    holder: Holder, body: PostBody, at: Placed, span: tuple[float, float]
) -> dict[str, Pad]:
    """All four surfaces that may carry, by name; `span` up the body [mm]."""
    half = body.dovetail.half_width(0.0)
    stud = at.seat[0] - at.root[0]
    start = at.holder[0] - at.root[0]
    left = max(start, stud - body.side / 2.0)
    right = min(start + holder.length, stud + body.side / 2.0)
    return {
        FIXED: flank_pad(FIXED, body.dovetail, -1, at.root, X, -Y, span),
        CLAMPED: flank_pad(CLAMPED, body.dovetail, 1, at.root, X, -Y, span),
        NEAR: rectangle(NEAR, at.root, X, Z, (float(left), -half), span),
        FAR: rectangle(FAR, at.root, X, Z, (half, float(right)), span),
    }


def _back_pad(body: PostBody, at: Placed) -> Pad:
    """Back of the moving flank, on the floor of the recess."""
    recess = body.recess or 0.0
    floor = at.root + (body.dovetail.width / 2.0 - recess) * X
    depth = (-body.dovetail.depth, 0.0)
    return rectangle("moving flank back", floor, Y, Z, depth, (0.0, body.height))


def _laws(case: Case, pads: Mapping[str, Pad]) -> dict[str, Law]:
    """Joint stiffness of every surface from the stated clamping force.

    The force N presses each flank; N cos(angle) of each pulls the holder onto the
    face. A piston pushes off the face with F = 2 N cos(angle), a draw bolt pulls
    onto the face with F.
    """
    clamping = case.post.clamping
    lean = cos(radians(case.post.dovetail.angle))
    flank, face = {
        WEDGE: (clamping.force, 2.0 * clamping.force * lean),
        PISTON: (clamping.force / (2.0 * lean), 0.0),
        DRAW: (0.0, clamping.force),
        SOLID: (0.0, 0.0),
    }[clamping.way]
    if clamping.way == SOLID:
        steel = load_materials()[case.post.material]
        return dict.fromkeys(pads, bonded(steel.youngs_modulus_mpa))
    faces = pads[NEAR].area + pads[FAR].area
    forces = {
        FIXED: flank,
        CLAMPED: flank,
        NEAR: face * pads[NEAR].area / faces,
        FAR: face * pads[FAR].area / faces,
    }
    return {
        name: closed(clamping.surface, forces[name], pads[name])
        for name in CARRYING[clamping.way]
    }
