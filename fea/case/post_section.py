"""What the case file says of the quick-change post, its holder and the plain block."""

from typing import Annotated

from pydantic import Field

from fea.case.field_kind import Choice, Quantity, Whole
from fea.case.section import (
    LUBRICATION,
    MATERIAL,
    PROPERTY_CLASS,
    SURFACE,
    Section,
)
from fea.case.unit_registry import ANGLE, FORCE, LENGTH, TORQUE

WEDGE, PISTON, DRAW, SOLID = CLAMPING_WAYS = ("wedge", "piston", "draw", "solid")


class PostDovetail(Section):
    """The dovetail between holder and post."""

    width: Annotated[float, Quantity(LENGTH, 10.0, 150.0)] = Field(
        description="Across the wide side of the male dovetail on the body."
    )
    depth: Annotated[float, Quantity(LENGTH, 2.0, 40.0)] = Field(
        description="Height of the male dovetail over the body's face."
    )
    angle: Annotated[float, Quantity(ANGLE, 40.0, 75.0)] = Field(
        description="Between flank and face."
    )
    clearance: Annotated[float, Quantity(LENGTH, 0.1, 5.0)] = Field(
        description="Between the male dovetail's top and the female one's bottom."
    )
    offset_along: Annotated[float, Quantity(LENGTH, -100.0, 100.0)] = Field(
        description=(
            "Of the female dovetail from the middle of the holder's length, positive "
            "toward the work."
        )
    )
    offset_across: Annotated[float, Quantity(LENGTH, -100.0, 100.0)] = Field(
        description=(
            "Of the male dovetail from the middle of the body's face, positive toward "
            "the work."
        )
    )


class Clamping(Section):
    """How the holder is clamped to the body."""

    way: Annotated[str, Choice("way of clamping", lambda: CLAMPING_WAYS)] = Field(
        description=(
            "wedge: a moving flank wedges the holder onto flank and face; piston: a "
            "piston pushes it off the face onto both flanks; draw: a draw bolt pulls "
            "it onto the face; solid: both flanks and the face carry, nothing moves."
        )
    )
    force: Annotated[float, Quantity(FORCE, 100.0, 200_000.0)] = Field(
        description=(
            "wedge: normal force on each flank; piston: its push; draw: its pull. This "
            "or torque."
        )
    )
    torque: Annotated[float | None, Quantity(TORQUE, 0.02, 1000.0)] = Field(
        default=None,
        description="On the clamping screw; force follows from it.",
    )
    screw_diameter: Annotated[float, Quantity(LENGTH, 3.0, 40.0)] = Field(
        description=(
            "Of the clamping screw, which pushes wedge or piston or is the draw bolt."
        )
    )
    taper: Annotated[float | None, Quantity(ANGLE, 1.0, 30.0)] = Field(
        default=None,
        description=(
            "Of the wedge that the screw drives in behind the moving flank; only for "
            "way = 'wedge'."
        ),
    )
    lubrication: Annotated[str, LUBRICATION] = Field(
        description="What is on the clamping screw and on the wedge's faces."
    )
    property_class: Annotated[str, PROPERTY_CLASS] = Field(
        description="Strength of the clamping screw, as ISO 898-1 has it."
    )
    recess: Annotated[float | None, Quantity(LENGTH, 1.0, 100.0)] = Field(
        default=None,
        description=(
            "Width of the moving flank, back from the dovetail's wide corner; only for "
            "way = 'wedge'."
        ),
    )
    rod_length: Annotated[float | None, Quantity(LENGTH, 2.0, 300.0)] = Field(
        default=None,
        description=(
            "Of the piston with its screw, or of the draw bolt, from the holder to "
            "where the body holds it; it gives like a screw of screw_diameter. Only "
            "for way = 'piston' or 'draw'."
        ),
    )
    surface: Annotated[str, SURFACE] = Field(
        description="Finish of flanks and face, a key of the joint surfaces."
    )


class Post(Section):
    """The body of the quick-change post."""

    side: Annotated[float, Quantity(LENGTH, 20.0, 300.0)] = Field(
        description="Side of the square body."
    )
    height: Annotated[float, Quantity(LENGTH, 15.0, 250.0)] = Field(
        description="Of the body."
    )
    bore: Annotated[float, Quantity(LENGTH, 4.0, 80.0)] = Field(
        description="Bore for the stud."
    )
    material: Annotated[str, MATERIAL] = Field(description="A key of the materials.")
    dovetail: PostDovetail = Field(description="The dovetail between holder and post.")
    clamping: Clamping = Field(description="How the holder is clamped.")


class ToolScrews(Section):
    """The set screws that press the tool onto the floor of its slot."""

    count: Annotated[int, Whole(1, 8)] = Field(description="How many hold one tool.")
    diameter: Annotated[float, Quantity(LENGTH, 2.5, 30.0)] = Field(
        description="Nominal diameter."
    )
    force: Annotated[float, Quantity(FORCE, 50.0, 100_000.0)] = Field(
        description="Push of each screw; this or torque."
    )
    torque: Annotated[float | None, Quantity(TORQUE, 0.02, 1000.0)] = Field(
        default=None, description="On each screw; force follows from it."
    )
    lubrication: Annotated[str, LUBRICATION] = Field(
        description="What is on the screws' threads and points."
    )
    property_class: Annotated[str, PROPERTY_CLASS] = Field(
        description="Strength of the screws, as ISO 898-1 has it."
    )
    surface: Annotated[str, SURFACE] = Field(
        description="Finish of shank and slot floor, a key of the joint surfaces."
    )


class Holder(Section):
    """The tool holder that hangs on the post."""

    length: Annotated[float, Quantity(LENGTH, 20.0, 300.0)] = Field(
        description="Along the tool."
    )
    height: Annotated[float, Quantity(LENGTH, 8.0, 250.0)] = Field(
        description="From bottom to top."
    )
    thickness: Annotated[float, Quantity(LENGTH, 8.0, 150.0)] = Field(
        description="From the face on the post to the open side of the slot."
    )
    floor: Annotated[float, Quantity(LENGTH, 3.0, 80.0)] = Field(
        description="Wall left under the slot."
    )
    slot_height: Annotated[float, Quantity(LENGTH, 4.0, 100.0)] = Field(
        description="Height of the tool slot."
    )
    slot_depth: Annotated[float, Quantity(LENGTH, 3.0, 100.0)] = Field(
        description="From the open side of the slot to its wall."
    )
    material: Annotated[str, MATERIAL] = Field(description="A key of the materials.")
    screws: ToolScrews = Field(description="The screws that hold the tool.")


class Shims(Section):
    """Packing under the tool in the four-way block."""

    count: Annotated[int, Whole(0, 20)] = Field(
        description="How many; together they are as high as the tool needs."
    )
    surface: Annotated[str, SURFACE] = Field(
        description="Finish of the shims, a key of the joint surfaces."
    )


class Block(Section):
    """The plain four-way block that the post is compared with."""

    side: Annotated[float, Quantity(LENGTH, 20.0, 300.0)] = Field(
        description="Side of the square block."
    )
    height: Annotated[float, Quantity(LENGTH, 8.0, 250.0)] = Field(
        description="Of the block."
    )
    bore: Annotated[float, Quantity(LENGTH, 4.0, 80.0)] = Field(
        description="Bore for the stud."
    )
    floor: Annotated[float, Quantity(LENGTH, 3.0, 80.0)] = Field(
        description="Wall left under the slots."
    )
    slot_height: Annotated[float, Quantity(LENGTH, 4.0, 100.0)] = Field(
        description="Height of the four slots."
    )
    slot_depth: Annotated[float, Quantity(LENGTH, 3.0, 100.0)] = Field(
        description="Depth of the four slots."
    )
    material: Annotated[str, MATERIAL] = Field(description="A key of the materials.")
    screws: ToolScrews = Field(description="The screws that hold the tool.")
    shims: Shims = Field(description="Packing under the tool.")


class Base(Section):
    """The seat of post or block on the top slide."""

    surface: Annotated[str, SURFACE] = Field(
        description="Finish of the seat, a key of the joint surfaces."
    )
