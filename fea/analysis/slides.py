"""The machine below the post: seat and stud, top slide, ways, lower slide, ground."""

from collections.abc import Mapping
from math import cos, pi, radians

from fea.analysis.joint_laws import closed, driven
from fea.analysis.plan_builder import PlanBuilder
from fea.analysis.rectangle import X, Y, Z, frame, rectangle, square
from fea.case.schema import Case
from fea.core.joint import FootLaw, LinearLaw
from fea.core.material import load_materials
from fea.core.thread import axial_stiffness
from geometry.dovetail import flank_pad
from geometry.pad import FloatArray
from geometry.parts.four_way_block import FourWayBlock
from geometry.parts.lower_slide import LowerSlide
from geometry.parts.post_body import PostBody
from geometry.parts.top_slide import TopSlide
from geometry.shape import Shape
from geometry.units import KG_PER_TONNE, N_PER_MM_PER_N_PER_UM

# The bore is relieved at the base, and a washer bridges it, by a little more than
# its diameter (common practice, no source).
RELIEF = 1.15
WASHER_DIAMETERS = 2.0  # outside, ISO 7089 within 10 %, from memory

# A patch of a screw on the ways' end must stay within the dovetail's height.
SCREW_HEIGHT_SHARE = 0.8


def add_slides(
    builder: PlanBuilder, case: Case, shapes: Mapping[str, Shape], seat: FloatArray
) -> None:
    """Add both slides, their ways, lead screw and ground.

    `seat` (3,) [mm] is where the stud leaves the top slide.
    """
    top, low = shapes["top slide"], shapes["lower slide"]
    if not (isinstance(top, TopSlide) and isinstance(low, LowerSlide)):
        raise TypeError(shapes)
    iron = load_materials()[case.machine.material]
    front = -top.stud_from_front + case.machine.top_slide.runs_out
    foot = seat + front * Y - top.height * Z
    builder.place("top slide", top, iron, seat)
    builder.place("lower slide", low, iron, foot)
    _add_ways(builder, case, top, low, foot)
    _add_lead_screw(builder, case, top, low, foot, seat)
    _add_ground(builder, case, low, foot)


def add_seat(
    builder: PlanBuilder,
    case: Case,
    name: str,
    post: PostBody | FourWayBlock,
    seat: FloatArray,
) -> None:
    """Clamp a post or block, already placed, to the top slide by base and stud.

    `seat` (3,) [mm] is where the stud leaves the slide.
    """
    stud = case.machine.stud
    steel = load_materials()[stud.material]
    relief = post.bore * RELIEF
    wide = min(post.side, case.machine.top_slide.width)
    base = frame("base", seat, X, Y, (wide, post.side), (relief, relief))
    builder.join("top slide", name, base, closed(case.base.surface, stud.preload, base))
    washer = max(WASHER_DIAMETERS * stud.diameter, WASHER_DIAMETERS * relief)
    above = frame(
        "stud nut", seat + post.height * Z, X, Y, (washer, washer), (relief, relief)
    )
    below = square("stud root", seat, X, Y, stud.diameter)
    builder.link(
        "stud",
        (("top slide", below), (name, above)),
        axial_stiffness(stud.diameter, post.height, 2, steel.youngs_modulus_mpa),
        stud.preload,
    )


def _add_ways(
    builder: PlanBuilder, case: Case, top: TopSlide, low: LowerSlide, foot: FloatArray
) -> None:
    contact = case.machine.ways
    inner = low.ways.half_width(0.0)
    outer = min(top.width, low.width) / 2.0
    span = (0.0, low.length)
    flanks = [
        flank_pad(name, low.ways, side, foot, X, Z, span)
        for name, side in (("way flank near work", -1), ("gib", 1))
    ]
    force = contact.pressure * flanks[1].area
    # Each flank presses with N; N cos(angle) of both pulls the slide onto its lands.
    onto_land = force * cos(radians(low.ways.angle_deg))
    for name, side in (("way near work", -1), ("way far", 1)):
        across = sorted((side * inner, side * outer))
        land = rectangle(name, foot, X, Y, (across[0], across[1]), span)
        law = closed(contact.surface, onto_land, land)
        builder.join("lower slide", "top slide", land, law)
    plain = closed(contact.surface, force, flanks[0])
    gib = driven(contact.surface, force, flanks[1], contact.gib_faces)
    for flank, law in zip(flanks, (plain, gib), strict=True):
        builder.join("lower slide", "top slide", flank, law)


def _add_lead_screw(
    builder: PlanBuilder,
    case: Case,
    top: TopSlide,
    low: LowerSlide,
    foot: FloatArray,
    seat: FloatArray,
) -> None:
    """Add the screw between the ways' end and the groove's end.

    Its nut is taken in the middle of the lower slide (common practice, no source).
    """
    diameter = case.machine.lead_screw.diameter
    side = min(diameter, SCREW_HEIGHT_SHARE * low.ways.depth)
    nut = foot + low.length * Y + low.ways.depth / 2.0 * Z
    wall = nut.copy()
    wall[1] = seat[1] + top.length - top.stud_from_front - top.end_wall
    free = float(wall[1] - nut[1]) + low.length / 2.0
    steel = load_materials()[case.machine.stud.material]
    builder.link(
        "lead screw",
        (
            ("lower slide", square("screw nut", nut, Z, X, side)),
            ("top slide", square("screw bearing", wall, Z, X, side)),
        ),
        steel.youngs_modulus_mpa * pi / 4.0 * diameter**2 / free,
        0.0,
    )


def _add_ground(
    builder: PlanBuilder, case: Case, low: LowerSlide, foot: FloatArray
) -> None:
    half = low.width / 2.0
    base = foot - low.height * Z
    pad = rectangle("ground", base, X, Y, (-half, half), (0.0, low.length))
    ground = case.machine.ground
    per_area = N_PER_MM_PER_N_PER_UM / pad.area
    springs = LinearLaw(
        first=ground.radial * per_area,
        second=ground.axial * per_area,
        normal=ground.vertical * per_area,
    )
    law = FootLaw(
        springs=springs,
        inertia=ground.mass / KG_PER_TONNE / pad.area,
        wider=ground.width / low.width,
        longer=ground.length / low.length,
    )
    builder.join(None, "lower slide", pad, law)
