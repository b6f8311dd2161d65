"""A reading, or one that could be taken, in words and numbers."""

from fea.measurement.observation import UNITS, Kind, Observation
from fea.measurement.place_words import TOOL, heading_words
from fea.measurement.record import (
    Heading,
    PushReading,
    Spot,
    SpringPass,
    TapResult,
    TestCut,
)
from fea.report.number import MINUS, rounded, setting
from geometry.units import UM_PER_MM

TIP = "tip"
NEAR_TIP_MM = 5.0
"""Closer than this a spot on the tool is called the tip."""
VERTICAL = {"-vertical": "down", "vertical": "up"}
SEEN = {
    "none": "no motion seen",
    "slight": "slight motion seen",
    "plain": "motion plain to see",
}


def setup_words(seen: Observation) -> str:
    """Say what is done and read, without the number that comes of it."""
    record = seen.record
    if isinstance(record, PushReading):
        return _push(record)
    if isinstance(record, SpringPass):
        depth, feed = setting(record.depth_mm), setting(record.feed_mm)
        cut = f"a pass {depth} mm deep at {feed} mm/rev"
        again = f", after spring pass {record.passes - 1}" if record.passes > 1 else ""
        return f"diameter after {cut}{again}"
    if isinstance(record, TapResult):
        way, spot = way_words(record.struck_along), spot_name(record.struck)
        return f"peak at {rounded(record.frequency_hz)} Hz, {spot} struck {way}"
    return _cut(record)


def observed_words(seen: Observation) -> str:
    """Say what came of it, with its unit."""
    record = seen.record
    if isinstance(record, TestCut):
        return _cut_outcome(record, seen.kind)
    return f"{_plain(number_of(seen))} {UNITS[seen.kind]}".strip()


def number_of(seen: Observation) -> float:
    """Return the number that was read, in the unit of `UNITS`; not of words."""
    record = seen.record
    if isinstance(record, PushReading):
        return record.reading_um
    if isinstance(record, SpringPass):
        return (record.diameter_got_mm - record.diameter_set_mm) * UM_PER_MM
    if isinstance(record, TapResult):
        is_frequency = seen.kind is Kind.FREQUENCY
        return record.frequency_hz if is_frequency else record.damping_ratio
    if seen.kind is not Kind.DEFLECTION or record.deflection_um is None:
        message = f"{record.source}: {seen.kind} is no number"
        raise ValueError(message)
    return record.deflection_um


def uncertainty_of(seen: Observation) -> float | None:
    """Return the standard deviation that was written down, None where none was."""
    record = seen.record
    if isinstance(record, PushReading | SpringPass):
        return record.uncertainty_um
    if isinstance(record, TapResult):
        is_frequency = seen.kind is Kind.FREQUENCY
        return record.frequency_sd_hz if is_frequency else record.damping_sd
    return record.uncertainty_um if seen.kind is Kind.DEFLECTION else None


def overhang_of(seen: Observation) -> float | None:
    """Return the tool's overhang of a push test, None where it is the case's. [mm]."""
    record = seen.record
    return record.overhang_mm if isinstance(record, PushReading) else None


def spot_name(spot: Spot) -> str:
    """Name a spot by its part, or call it the tip."""
    away = (spot.x_mm**2 + spot.y_mm**2 + spot.z_mm**2) ** 0.5
    return TIP if spot.part == TOOL and away < NEAR_TIP_MM else spot.part


def way_words(heading: Heading) -> str:
    """Name a direction as a machinist does."""
    words = heading_words(heading)
    return VERTICAL.get(words, words)


def spot_place(spot: Spot) -> str:
    """Name a spot and say where it is, unless it is the tip."""
    name = spot_name(spot)
    if name == TIP:
        return f"the {name}"
    x, y, z = (_signed(each) for each in (spot.x_mm, spot.y_mm, spot.z_mm))
    return f"the {name} (radial {x}, axial {y}, vertical {z} mm from the tip)"


def _signed(number: float) -> str:
    return f"{number:.0f}".replace("-", MINUS)


def _push(record: PushReading) -> str:
    pushed, read = record.force_at, record.read_at
    force = f"push of {rounded(record.force_n)} N {way_words(record.force_along)}"
    phase = ", unloading" if record.phase == "unloading" else ""
    return (
        f"{force} at the {spot_name(pushed)}, {spot_name(read)} read "
        f"{way_words(record.read_along)}{phase}{_overhang(record)}"
    )


def _overhang(record: PushReading) -> str:
    """Say how far the tool sticks out, where it is not as in the case."""
    if record.overhang_mm is None:
        return ""
    return f", with the tool {setting(record.overhang_mm)} mm out"


def _cut(record: TestCut) -> str:
    return (
        f"cut {setting(record.depth_mm)} mm deep at {setting(record.feed_mm)} mm/rev "
        f"and {setting(record.speed_rpm)} rev/min"
    )


def _cut_outcome(record: TestCut, kind: Kind) -> str:
    if kind is Kind.CHATTER:
        return "chatter" if record.chatter else "quiet"
    if kind is Kind.GRADE and record.seen is not None:
        return SEEN[record.seen]
    return f"{_plain(record.deflection_um or 0.0)} µm"


def _plain(number: float) -> str:
    """Write a reading as it was read, without zeros that nobody read."""
    return f"{number:.4g}".replace("-", MINUS)
