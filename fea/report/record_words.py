"""Records in words: what was done, where, in which direction."""

from fea.measurement.observation import Kind, Observation
from fea.measurement.place_words import DIRECTIONS, TOOL
from fea.measurement.record import (
    Heading,
    PushReading,
    Spot,
    SpringPass,
    TapResult,
    TestCut,
)
from fea.report.number import setting


def record_words(seen: Observation) -> str:
    """Say what was measured, short enough for a row of a table."""
    record = seen.record
    if isinstance(record, PushReading):
        return (
            f"{setting(record.force_n)} N {direction(record.force_along)} on "
            f"{record.force_at.part}, read on {record.read_at.part} "
            f"{direction(record.read_along)}, {record.phase}"
        )
    if isinstance(record, SpringPass):
        which = "cut" if record.passes == 1 else f"spring pass {record.passes - 1}"
        return f"{setting(record.depth_mm)} mm deep, {which}: diameter"
    if isinstance(record, TapResult):
        return f"{seen.kind}, struck {direction(record.struck_along)} on " + str(
            record.struck.part
        )
    return _cut_words(seen.kind, record)


def setup_words(seen: Observation) -> str:
    """Say how a measurement is to be made."""
    record = seen.record
    if isinstance(record, PushReading):
        return (
            f"push the {record.force_at.part} at {place(record.force_at)} "
            f"{direction(record.force_along)} with {setting(record.force_n)} N and "
            f"read the {record.read_at.part} at {place(record.read_at)} "
            f"{direction(record.read_along)}"
        )
    if isinstance(record, SpringPass):
        return f"turn once at {setting(record.depth_mm)} mm depth and measure across"
    if isinstance(record, TestCut):
        return (
            f"cut {setting(record.depth_mm)} mm deep at {setting(record.speed_rpm)} "
            "rev/min and listen for chatter"
        )
    return record_words(seen)


def direction(heading: Heading) -> str:
    """Name a direction as a machinist does, else by its three numbers."""
    numbers = (heading.x, heading.y, heading.z)
    words = [word for word, known in DIRECTIONS.items() if known == numbers]
    return words[-1] if words else f"along ({', '.join(f'{n:.2g}' for n in numbers)})"


def place(spot: Spot) -> str:
    """Say where a spot is, from the tool's tip."""
    if spot.part == TOOL:
        return f"{spot.x_mm:g} mm behind the tip"
    return f"x {spot.x_mm:g}, y {spot.y_mm:g}, z {spot.z_mm:g} mm from the tip"


def _cut_words(kind: Kind, record: TestCut) -> str:
    cut = f"{setting(record.depth_mm)} mm deep at {setting(record.speed_rpm)} rev/min"
    if kind is Kind.GRADE:
        return f"{cut}: motion {record.seen}"
    if kind is Kind.CHATTER:
        return f"{cut}: {'chatter' if record.chatter else 'no chatter'}"
    return f"{cut}: deflection"
