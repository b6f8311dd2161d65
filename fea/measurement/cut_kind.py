"""Test cuts: what was seen and heard at a depth of cut."""

from fea.case.field_kind import Choice, Quantity, refuse
from fea.case.unit_registry import SPINDLE_SPEED
from fea.measurement.column import Column
from fea.measurement.record import TestCut
from fea.measurement.record_kind import (
    DEPTH,
    DEVIATION,
    FEED_RANGE,
    READING,
    STACK,
    TURNING,
    UNCERTAINTY,
    RecordKind,
    Row,
)
from geometry.units import UM_PER_MM

_GRADES = {"none": "none", "none seen": "none", "slight": "slight", "plain": "plain"}
_ANSWERS = {"yes": True, "no": False}


def cut_of(row: Row) -> TestCut:
    """Return the cut of a row, which must tell at least one thing."""
    values = row.values
    _check_complete(row)
    return TestCut(
        stack=values["stack"],
        depth_mm=values["depth"],
        speed_rpm=values["speed"],
        feed_mm=values["feed"],
        deflection_um=_um(values["deflection"]),
        uncertainty_um=_um(values["uncertainty"]),
        seen=_GRADES.get(values["seen"]),  # type: ignore[arg-type]
        threshold_um=_um(values["threshold"]),
        chatter=_ANSWERS.get(values["chatter"]),
        source=row.source,
    )


def _um(length: float | None) -> float | None:
    """Return a length [mm] in µm."""
    return None if length is None else length * UM_PER_MM


def _check_complete(row: Row) -> None:
    values = row.values
    told = ("deflection", "seen", "chatter")
    if all(values[name] is None for name in told):
        refuse(
            f"{', '.join(told)} are all empty; fill at least one of them, or remove "
            "the row"
        )
    if values["deflection"] is not None and values["uncertainty"] is None:
        refuse("a deflection without its uncertainty has no weight; add it, as 3 um")


CUT = RecordKind(
    name="cut",
    title="Test cuts: what was seen and heard at a depth of cut",
    columns=(
        STACK,
        Column(name="depth", kind=DEPTH, about="that was set, radial", unit="mm"),
        Column(
            name="speed",
            kind=Quantity(SPINDLE_SPEED, 1.0, 20000.0),
            about="of the spindle",
            unit="rev/min",
        ),
        Column(name="feed", kind=FEED_RANGE, about="per revolution", unit="mm/rev"),
        Column(
            name="deflection",
            kind=READING,
            about="of the tip away from the work, by an indicator; or empty",
            unit="um",
            needed=False,
        ),
        Column(
            name="uncertainty",
            kind=UNCERTAINTY,
            about=f"of the deflection, {DEVIATION}",
            unit="um",
            needed=False,
        ),
        Column(
            name="seen",
            kind=Choice(
                "grade", lambda: ("none", "slight", "plain"), lambda: ("none seen",)
            ),
            about="motion by eye: none, slight or plain; empty if nobody looked",
            needed=False,
        ),
        Column(
            name="threshold",
            kind=UNCERTAINTY,
            about="least motion that you think you would see; a guess will do",
            unit="um",
            needed=False,
        ),
        Column(
            name="chatter",
            kind=Choice("answer", lambda: ("yes", "no")),
            about="yes or no; empty if you did not listen",
            needed=False,
        ),
    ),
    build=cut_of,
    about=(
        "Give deflection, seen or chatter, or several of them, for each cut.",
        "Deepen in small steps, and stop at the first clear chatter.",
    ),
    cautions=(
        *TURNING,
        "Watch from outside the path of chips; an indicator on a magnet base, no hand.",
    ),
    examples=(
        "four-way,1.0,710,0.1,15,3,,,no",
        "quick-change,2.0,710,0.1,,,plain,20,yes",
    ),
)
