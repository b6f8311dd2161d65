"""Push tests: a known force at one point, a dial indicator at another."""

from fea.case.field_kind import Choice, Quantity
from fea.case.unit_registry import FORCE, LENGTH
from fea.measurement.column import Column
from fea.measurement.place_words import HeadingWords
from fea.measurement.record import PushReading
from fea.measurement.record_kind import (
    DEVIATION,
    READING,
    STACK,
    STILL,
    UNCERTAINTY,
    RecordKind,
    Row,
    place_columns,
)
from geometry.units import UM_PER_MM


def push_of(row: Row) -> PushReading:
    """Return the reading of a row."""
    values = row.values
    return PushReading(
        stack=values["stack"],
        force_n=values["force"],
        force_at=row.spot("pushed"),
        force_along=values["push direction"],
        read_at=row.spot("read"),
        read_along=values["read direction"],
        reading_um=values["reading"] * UM_PER_MM,
        uncertainty_um=values["uncertainty"] * UM_PER_MM,
        phase=values["phase"] or "loading",
        overhang_mm=values["overhang"],
        source=row.source,
    )


PUSH = RecordKind(
    name="push",
    title="Push test: a known force at one point, a dial indicator at another",
    columns=(
        STACK,
        Column(
            name="force",
            kind=Quantity(FORCE, 0.0, 5000.0),
            about="by a scale or a hanging weight; kgf for what a scale shows in kg",
            unit="N",
        ),
        *place_columns("pushed", "force"),
        Column(
            name="push direction",
            kind=HeadingWords(),
            about="way the force acts: radial (away from the work), -radial, axial "
            "(to the tailstock), -axial, up, down, or three numbers",
        ),
        *place_columns("read", "indicator"),
        Column(
            name="read direction",
            kind=HeadingWords(),
            about="way of motion that counts as positive, in the same words",
        ),
        Column(
            name="reading",
            kind=READING,
            about="motion since the unloaded state; negative against the direction",
            unit="um",
        ),
        Column(name="uncertainty", kind=UNCERTAINTY, about=DEVIATION, unit="um"),
        Column(
            name="phase",
            kind=Choice("phase", lambda: ("loading", "unloading")),
            about="loading while the force grows, unloading while it shrinks; "
            "loading if left empty",
            needed=False,
        ),
        Column(
            name="overhang",
            kind=Quantity(LENGTH, 1.0, 300.0),
            about="of the tool, if it is not that of the case",
            unit="mm",
            needed=False,
        ),
    ),
    build=push_of,
    about=(
        "Push in steps up to the largest force, then back down through the same steps.",
        "Set the indicator's base on the bed, not on the slide that it reads.",
        "Push once to the full and let go before the first reading counts.",
    ),
    cautions=(
        *STILL,
        "Keep hands from under a hanging weight, and give it a box to fall on.",
    ),
    examples=(
        "four-way,100,tip,,,,down,tip,,,,down,9,1,loading,",
        "quick-change,20 kgf,tip,,,,radial,holder,40,20,5,radial,12,1,unloading,",
    ),
)
