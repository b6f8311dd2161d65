"""Spring passes: the same dial setting cut again and again."""

from fea.case.field_kind import Choice, Quantity
from fea.case.unit_registry import LENGTH
from fea.measurement.column import Column
from fea.measurement.record import SpringPass
from fea.measurement.record_kind import (
    DEPTH,
    DEVIATION,
    FEED_RANGE,
    STACK,
    TURNING,
    UNCERTAINTY,
    RecordKind,
    Row,
)
from geometry.units import UM_PER_MM

_DIAMETER = Quantity(LENGTH, 1.0, 1000.0)
_MOST_PASSES = 9  # after a few nothing more comes off
_PASSES = Choice("pass", lambda: [str(n) for n in range(1, _MOST_PASSES + 1)])


def spring_of(row: Row) -> SpringPass:
    """Return the pass of a row."""
    values = row.values
    return SpringPass(
        stack=values["stack"],
        depth_mm=values["depth"],
        feed_mm=values["feed"],
        passes=int(values["pass"]),
        diameter_set_mm=values["diameter set"],
        diameter_got_mm=values["diameter got"],
        uncertainty_um=values["uncertainty"] * UM_PER_MM,
        source=row.source,
    )


SPRING = RecordKind(
    name="spring",
    title="Spring passes: the same dial setting cut again and again",
    columns=(
        STACK,
        Column(
            name="depth", kind=DEPTH, about="set for the first pass, radial", unit="mm"
        ),
        Column(name="feed", kind=FEED_RANGE, about="per revolution", unit="mm/rev"),
        Column(
            name="pass",
            kind=_PASSES,
            about="1 for the cut itself, 2 for the first spring pass, and so on",
        ),
        Column(
            name="diameter set",
            kind=_DIAMETER,
            about="that the dial asks for",
            unit="mm",
        ),
        Column(
            name="diameter got",
            kind=_DIAMETER,
            about="measured after that pass",
            unit="mm",
        ),
        Column(
            name="uncertainty",
            kind=UNCERTAINTY,
            about=f"of the diameter, {DEVIATION}",
            unit="um",
        ),
    ),
    build=spring_of,
    about=(
        "Find the dial's zero by a light cut and the micrometer, then set the depth.",
        "Measure after each pass; leave the dial alone between passes.",
    ),
    cautions=TURNING,
    examples=(
        "four-way,0.5,0.1,1,19,19.024,4",
        "four-way,0.5,0.1,2,19,19.003,4",
    ),
)
