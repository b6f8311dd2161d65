"""The shop sheet's words on measuring its dovetails over pins."""

from collections.abc import Iterator

from fea.report.shop_sheet_parts import SheetParts
from fea.report.shop_sheet_sizes import Sizes
from fea.report.table import Table
from geometry.over_pins import (
    Pin,
    between_pins,
    narrow_from_reading,
    over_pins,
    pin_allowance,
    reading_per_degree,
    wide_from_reading,
)

NO_PIN = "none of the usual pins can be measured over; fit the parts to each other"

# A cutter or a tilted head is commonly off by so much. [degrees]
ANGLE_ERROR_DEG = 0.1

Row = tuple[str, ...]


def pin_table(parts: SheetParts, sizes: Sizes) -> Table:
    """Return readings at both limits of each dovetail's width."""
    angle = parts.dovetail.angle_deg
    home = "" if parts.flank is None else ", moving flank pressed home"
    meaning = (
        f"At the limits above, θ = {angle:g}°, corners relieved, burrs off"
        f"{home}. x = a + D (1 + cot(θ/2)), y = b − D (1 + cot(θ/2)): a narrow root, "
        "b wide bottom, D pin."
    )
    rows = (_male(parts, sizes), _female(parts, sizes))
    return Table(
        caption="Dovetails over pins",
        meaning=meaning,
        head=("", "pins", "largest", "smallest"),
        rows=rows,
        n_words=2,
    )


def _male(parts: SheetParts, sizes: Sizes) -> Row:
    pin, lean = parts.male_pin, 2.0 * parts.dovetail.overhang
    if pin is None:
        return "male, over", NO_PIN, "", ""
    angle = parts.dovetail.angle_deg
    low, high = (
        over_pins(wide - lean, pin.diameter, angle) for wide in parts.male.ends
    )
    return "male, x over", pin.name, sizes.measured(high), sizes.measured(low)


def _female(parts: SheetParts, sizes: Sizes) -> Row:
    pin, angle = parts.female_pin, parts.dovetail.angle_deg
    if pin is None:
        return "female, between", NO_PIN, "", ""
    low, high = (between_pins(b, pin.diameter, angle) for b in parts.female.ends)
    return "female, y between", pin.name, sizes.measured(high), sizes.measured(low)


def pin_sentences(parts: SheetParts, sizes: Sizes) -> tuple[str, ...]:
    """Return how to get from a reading to a width, and what a wrong angle does."""
    return (*_widths(parts, sizes), *_wrong_angle(parts, sizes))


def _widths(parts: SheetParts, sizes: Sizes) -> Iterator[str]:
    """Width for a reading of zero: what every other reading has added to it."""
    angle = parts.dovetail.angle_deg
    if parts.male_pin is not None:
        less = -narrow_from_reading(0.0, parts.male_pin.diameter, angle)
        wider = less - 2.0 * parts.dovetail.overhang
        yield (
            f"Male: root = x − {sizes.measured(less)}, wide top = x − "
            f"{sizes.measured(wider)}."
        )
    if parts.female_pin is not None:
        more = wide_from_reading(0.0, parts.female_pin.diameter, angle)
        yield f"Female: wide bottom = y + {sizes.measured(more)}."


def _wrong_angle(parts: SheetParts, sizes: Sizes) -> Iterator[str]:
    pin = parts.male_pin or parts.female_pin
    if pin is None:
        return
    angle = parts.dovetail.angle_deg
    off = ANGLE_ERROR_DEG * reading_per_degree(pin.diameter, angle)
    yield (
        f"A flank {ANGLE_ERROR_DEG:g}° too steep reads {sizes.measured(off)} less over "
        "the male and as much more between the female: prove it first by a second pin "
        f"d, which must read {_factor(pin, angle):.4f} (D − d) apart."
    )


def _factor(pin: Pin, angle_deg: float) -> float:
    return pin_allowance(pin.diameter, angle_deg) / pin.diameter
