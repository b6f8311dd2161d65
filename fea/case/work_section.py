"""What the case file says of the workpiece, of what holds it, and of how it is cut."""

from typing import Annotated

from pydantic import Field

from fea.case.field_kind import Choice, DepthList, Number, Quantity, RisingList
from fea.case.section import MATERIAL, Section
from fea.case.unit_registry import (
    ANGLE,
    FEED,
    LENGTH,
    MASS,
    SPINDLE_SPEED,
    STIFFNESS,
    TILTING,
)
from fea.machining.cut import (
    ENTERING_LIMITS_DEG,
    FEED_LIMITS_MM,
    NOSE_LIMITS_MM,
    RAKE_LIMITS_DEG,
)

NO_CENTRE, CENTRE = TAILSTOCKS = ("none", "centre")
TURNING, FACING, GROOVING, PARTING = CUT_KINDS = (
    "turning",
    "facing",
    "grooving",
    "parting",
)
PLUNGING = (GROOVING, PARTING)
"""Kinds of cut in which the tool's width is cut, and not a depth."""

_STIFF = Quantity(STIFFNESS, 1.0, 5000.0)
_DAMPING = Number(0.001, 0.3)
_SPEED = Quantity(SPINDLE_SPEED, 5.0, 20_000.0)


def _work_materials() -> list[str]:
    """Return the keys of the work materials; read when the first case is."""
    from fea.machining.work_material import load_work_materials

    return list(load_work_materials())


class Work(Section):
    """What is cut: a round bar that stands out of the chuck."""

    material: Annotated[str, Choice("work material", _work_materials)] = Field(
        description="A key of the work materials: what it is to cut."
    )
    elastic_material: Annotated[str, MATERIAL] = Field(
        description="A key of the materials: how heavy and stiff it is."
    )
    diameter: Annotated[float, Quantity(LENGTH, 1.0, 1000.0)] = Field(
        description="Of the bar, where it stands out of the chuck."
    )
    bore: Annotated[float, Quantity(LENGTH, 0.0, 980.0)] = Field(
        description="Of a tube; 0 mm is a solid bar."
    )
    stick_out: Annotated[float, Quantity(LENGTH, 2.0, 3000.0)] = Field(
        description="From the chuck's face to the free end."
    )
    cut_at: Annotated[float, Quantity(LENGTH, 0.5, 3000.0)] = Field(
        description="From the chuck's face to where the tool cuts."
    )
    tailstock: Annotated[str, Choice("tailstock", lambda: TAILSTOCKS)] = Field(
        description="none: the end is free; centre: a centre holds it."
    )


class Spindle(Section):
    """The spindle with its bearings, and the grip of the chuck's jaws."""

    speeds: Annotated[
        tuple[float, ...],
        RisingList(
            item=_SPEED,
            most=60,
            noun="speeds",
            example='["63 rev/min", "125 rev/min"]',
        ),
    ] = Field(description="Every speed that the lathe has, as its plate lists them.")
    speed: Annotated[float, _SPEED] = Field(description="The one that is to be used.")
    radial: Annotated[float, _STIFF] = Field(
        description="Stiffness at the chuck's face, across the spindle."
    )
    tilting: Annotated[float, Quantity(TILTING, 0.5, 100_000.0)] = Field(
        description="Stiffness against tilting at the chuck's face, jaws included."
    )
    axial: Annotated[float, _STIFF] = Field(
        description="Stiffness at the chuck's face, along the spindle."
    )
    mass: Annotated[float, Quantity(MASS, 0.05, 2000.0)] = Field(
        description="With all that turns on it, the chuck left out."
    )
    damping: Annotated[float, _DAMPING] = Field(
        description=(
            "Of critical, of a mode in which spindle, jaws and centre alone give; half "
            "of their loss factor."
        )
    )


class Chuck(Section):
    """The chuck, as a disc."""

    diameter: Annotated[float, Quantity(LENGTH, 20.0, 1000.0)] = Field(
        description="Of the body."
    )
    mass: Annotated[float, Quantity(MASS, 0.1, 1000.0)] = Field(
        description="With its jaws and the plate it is screwed to."
    )


class Tailstock(Section):
    """The tailstock, where a centre is used."""

    radial: Annotated[float, _STIFF] = Field(
        description="Stiffness at the centre's point, across the spindle."
    )


class Damping(Section):
    """What was measured of the damping."""

    ratio: Annotated[float | None, _DAMPING] = Field(
        default=None,
        description=(
            "Of critical, of the lowest mode at the tool; stands in for the computed "
            "one."
        ),
    )


class Cut(Section):
    """How it is cut."""

    kind: Annotated[str, Choice("kind of cut", lambda: CUT_KINDS)] = Field(
        description=(
            "turning: along the bar toward the chuck; facing: toward the axis; "
            "grooving, parting: straight in, as wide as the tool."
        )
    )
    feed: Annotated[float, Quantity(FEED, *FEED_LIMITS_MM)] = Field(
        description="Per revolution of the work."
    )
    entering_angle: Annotated[float, Quantity(ANGLE, *ENTERING_LIMITS_DEG)] = Field(
        description="Between the cutting edge and the direction of feed."
    )
    nose_radius: Annotated[float, Quantity(LENGTH, *NOSE_LIMITS_MM)] = Field(
        description="Of the tool's corner."
    )
    rake: Annotated[float, Quantity(ANGLE, *RAKE_LIMITS_DEG)] = Field(
        description="Positive where the edge is keen."
    )
    depths: Annotated[
        tuple[float, ...],
        DepthList(
            item=Quantity(LENGTH, 0.005, 25.0),
            most=200,
            noun="depths",
            example=(
                '["0.1 mm", "0.5 mm"] or { from = "0.1 mm", to = "2 mm", count = 20 }'
            ),
        ),
    ] = Field(
        description=(
            "Depths of cut in turning and facing: a list of lengths, or a table from, "
            "to, count."
        )
    )
    width: Annotated[float | None, Quantity(LENGTH, 0.3, 25.0)] = Field(
        default=None,
        description="Of a grooving or parting tool; only for those kinds of cut.",
    )
