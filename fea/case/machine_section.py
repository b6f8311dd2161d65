"""What the case file says of the machine: slides, ways, screw, stud, ground."""

from typing import Annotated

from pydantic import Field

from fea.case.field_kind import Quantity, Whole
from fea.case.section import (
    LUBRICATION,
    MATERIAL,
    PROPERTY_CLASS,
    SURFACE,
    Section,
)
from fea.case.unit_registry import (
    ANGLE,
    FORCE,
    LENGTH,
    MASS,
    PRESSURE,
    STIFFNESS,
    TORQUE,
)


class DovetailWays(Section):
    """Section of the dovetail ways that the top slide runs on."""

    width: Annotated[float, Quantity(LENGTH, 10.0, 400.0)] = Field(
        description="Across the wide top of the male ways on the slide below."
    )
    depth: Annotated[float, Quantity(LENGTH, 2.0, 80.0)] = Field(
        description="Height of the male ways."
    )
    angle: Annotated[float, Quantity(ANGLE, 40.0, 75.0)] = Field(
        description="Between flank and sliding plane; 60 or 55 deg in most machines."
    )
    clearance: Annotated[float, Quantity(LENGTH, 0.1, 10.0)] = Field(
        description="Between the top of the male ways and the groove's bottom."
    )


class TopSlide(Section):
    """The slide that carries the post."""

    length: Annotated[float, Quantity(LENGTH, 25.0, 600.0)] = Field(
        description="Along its travel, without the screw's bracket."
    )
    width: Annotated[float, Quantity(LENGTH, 25.0, 400.0)] = Field(
        description="Across its travel."
    )
    height: Annotated[float, Quantity(LENGTH, 6.0, 150.0)] = Field(
        description="From its sliding plane to the seat of the post."
    )
    stud_from_front: Annotated[float, Quantity(LENGTH, 8.0, 400.0)] = Field(
        description="From the front end of the slide to the middle of the post's stud."
    )
    end_wall: Annotated[float, Quantity(LENGTH, 3.0, 150.0)] = Field(
        description="Solid end behind the groove for the ways, where the screw is held."
    )
    runs_out: Annotated[float, Quantity(LENGTH, 0.0, 400.0)] = Field(
        description="How far its front end stands out past that of the slide below."
    )
    ways: DovetailWays = Field(description="The dovetail ways between the slides.")


class LowerSlide(Section):
    """The slide below the top slide, with the male ways on it."""

    length: Annotated[float, Quantity(LENGTH, 25.0, 800.0)] = Field(
        description="Along the travel of the top slide."
    )
    width: Annotated[float, Quantity(LENGTH, 25.0, 600.0)] = Field(
        description="Across the travel of the top slide."
    )
    height: Annotated[float, Quantity(LENGTH, 6.0, 200.0)] = Field(
        description="From its foot to the plane that the top slide slides on."
    )


class WaysContact(Section):
    """How the slides touch."""

    surface: Annotated[str, SURFACE] = Field(
        description="Finish of the sliding faces, a key of the joint surfaces."
    )
    pressure: Annotated[float, Quantity(PRESSURE, 0.02, 20.0)] = Field(
        description="Mean contact pressure on the ways with the gib set and oiled."
    )
    gib_faces: Annotated[int, Whole(1, 4)] = Field(
        description="Faces in series at the gibbed flank; 2 where a loose gib is used."
    )


class LeadScrew(Section):
    """The screw that holds the top slide along its travel."""

    diameter: Annotated[float, Quantity(LENGTH, 3.0, 60.0)] = Field(
        description="Core diameter, at the thread's root."
    )


class Ground(Section):
    """Stiffness of everything below the lower slide."""

    radial: Annotated[float, Quantity(STIFFNESS, 1.0, 5000.0)] = Field(
        description="Away from the work, along the cross travel."
    )
    axial: Annotated[float, Quantity(STIFFNESS, 1.0, 5000.0)] = Field(
        description="Along the spindle."
    )
    vertical: Annotated[float, Quantity(STIFFNESS, 1.0, 5000.0)] = Field(
        description="Up and down."
    )
    width: Annotated[float, Quantity(LENGTH, 20.0, 1200.0)] = Field(
        description="Of the saddle's footing, across the bed: it resists tipping."
    )
    length: Annotated[float, Quantity(LENGTH, 20.0, 1500.0)] = Field(
        description="Of the saddle's footing, along the bed."
    )
    mass: Annotated[float, Quantity(MASS, 0.05, 5000.0)] = Field(
        description="Of what rides on the bed with the lower slide: saddle and apron."
    )


class Stud(Section):
    """The stud in the top slide that clamps post or block."""

    diameter: Annotated[float, Quantity(LENGTH, 4.0, 60.0)] = Field(
        description="Nominal diameter."
    )
    preload: Annotated[float, Quantity(FORCE, 200.0, 400_000.0)] = Field(
        description="Pull in the stud once its nut is tight; this or torque."
    )
    torque: Annotated[float | None, Quantity(TORQUE, 0.1, 5000.0)] = Field(
        default=None, description="On the stud's nut; preload follows from it."
    )
    lubrication: Annotated[str, LUBRICATION] = Field(
        description="What is between the nut's thread and faces."
    )
    property_class: Annotated[str, PROPERTY_CLASS] = Field(
        description="Strength of the stud, as ISO 898-1 has it."
    )
    material: Annotated[str, MATERIAL] = Field(description="A key of the materials.")


class Machine(Section):
    """The lathe from the seat of the post downward."""

    centre_height: Annotated[float, Quantity(LENGTH, 30.0, 500.0)] = Field(
        description="Spindle axis over the bed: half of the swing. Sizes the defaults."
    )
    tool_height: Annotated[float, Quantity(LENGTH, 10.0, 250.0)] = Field(
        description="Spindle axis over the top slide's seat for the post."
    )
    material: Annotated[str, MATERIAL] = Field(
        description="Of both slides, a key of the materials."
    )
    top_slide: TopSlide = Field(description="The slide that carries the post.")
    lower_slide: LowerSlide = Field(description="The slide below it.")
    ways: WaysContact = Field(description="How the slides touch.")
    lead_screw: LeadScrew = Field(description="The top slide's screw.")
    ground: Ground = Field(description="Everything below the lower slide.")
    stud: Stud = Field(description="The stud that clamps post or block.")
