"""A dovetail's size over pins: what a micrometer reads over, or between, two pins.

A pin of diameter D in the corner between a flank and the flat touches both; the corner
is acute, with the dovetail's angle θ, and the pin's axis stands D/2 cot(θ/2) from it
along the flat. Male, outside of the narrow root a: x = a + D (1 + cot(θ/2)). Female, in
the wide bottom b: y = b - D (1 + cot(θ/2)). Machinery's Handbook, measuring dovetail
slides.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from math import cos, radians, sin, tan
from pathlib import Path

_TABLE = Path(__file__).with_name("pins.toml")

# The edge of the flank is broken or worn, so a pin must touch clearly below it.
HIGHEST_CONTACT = 0.9

# Gauge blocks or an inside micrometer have to go in between two pins. [mm]
LEAST_BETWEEN_MM = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A pin to measure over: what it is called, and its diameter [mm]."""

    name: str
    diameter: float


def pin_allowance(pin: float, angle_deg: float) -> float:
    """Return what two pins add to the narrow width, or take from the wide one. [mm].

    Parameters
    ----------
    pin : diameter [mm]
    angle_deg : between flank and flat
    """
    return pin * (1.0 + 1.0 / tan(radians(angle_deg) / 2.0))


def over_pins(narrow: float, pin: float, angle_deg: float) -> float:
    """Return the reading over two pins at the root of a male dovetail. [mm].

    `narrow` is the width at the root, where the flanks meet the face.
    """
    return narrow + pin_allowance(pin, angle_deg)


def between_pins(wide: float, pin: float, angle_deg: float) -> float:
    """Return the reading between two pins at the bottom of a female dovetail. [mm].

    `wide` is the width at the bottom, where the flanks meet the floor.
    """
    return wide - pin_allowance(pin, angle_deg)


def narrow_from_reading(reading: float, pin: float, angle_deg: float) -> float:
    """Return the width at a male dovetail's root, from the reading over pins. [mm]."""
    return reading - pin_allowance(pin, angle_deg)


def wide_from_reading(reading: float, pin: float, angle_deg: float) -> float:
    """Return the width at a female one's bottom, from that between pins. [mm]."""
    return reading + pin_allowance(pin, angle_deg)


def reading_per_degree(pin: float, angle_deg: float) -> float:
    """How far a flank that is one degree too steep changes the reading. [mm].

    It makes the reading over pins smaller and that between pins larger, the widths at
    the corners being the same: d/dθ of D cot(θ/2) is -D / (2 sin²(θ/2)).
    """
    half = radians(angle_deg) / 2.0
    return radians(1.0) * pin / (2.0 * sin(half) ** 2)


def contact_height(pin: float, angle_deg: float) -> float:
    """Height over the flat at which a pin touches the flank. [mm]."""
    return pin / 2.0 * (1.0 + cos(radians(angle_deg)))


def touches(pin: float, depth: float, angle_deg: float) -> bool:
    """Whether a pin can be measured over: it touches flat and flank, and stands out.

    It must touch the flank below its edge, and reach past that edge sideways, or the
    micrometer's anvils would meet the edges of a male dovetail and not the pins, and
    between the edges of a female one nothing would reach them.

    Parameters
    ----------
    pin : diameter [mm]
    depth : height of the flank [mm]
    angle_deg : between flank and flat
    """
    lean = depth / tan(radians(angle_deg))
    stands_out = pin_allowance(pin, angle_deg) > 2.0 * lean
    return stands_out and contact_height(pin, angle_deg) <= HIGHEST_CONTACT * depth


def male_pin(depth: float, angle_deg: float, system: str) -> Pin | None:
    """Pin that touches a male dovetail's flank nearest its middle.

    None if none of the usual ones of the system can be measured over.
    """
    return _nearest_middle(usual_pins(system), depth, angle_deg)


def female_pin(
    wide: float, depth: float, angle_deg: float, system: str, first: Pin | None
) -> Pin | None:
    """Pin for a female dovetail: the `first` if it will do, else the best usual one.

    Two pins must leave room between them. None if there is no such pin.
    """

    def goes_in(pin: Pin) -> bool:
        return between_pins(wide, pin.diameter, angle_deg) >= LEAST_BETWEEN_MM

    pins = tuple(pin for pin in usual_pins(system) if goes_in(pin))
    if first in pins and touches(first.diameter, depth, angle_deg):
        return first
    return _nearest_middle(pins, depth, angle_deg)


def _nearest_middle(
    pins: tuple[Pin, ...], depth: float, angle_deg: float
) -> Pin | None:
    def off_middle(pin: Pin) -> float:
        return abs(contact_height(pin.diameter, angle_deg) - depth / 2.0)

    found = [pin for pin in pins if touches(pin.diameter, depth, angle_deg)]
    return min(found, key=off_middle, default=None)


@cache
def usual_pins(system: str) -> tuple[Pin, ...]:
    """Pins that a shop has or can buy, "mm" or "in", the thinnest first."""
    rows = tomllib.loads(_TABLE.read_text(encoding="utf-8"))["pin"]
    pins = (
        Pin(name=row["name"], diameter=row["diameter"])
        for row in rows
        if row["system"] == system
    )
    return tuple(sorted(pins, key=lambda pin: pin.diameter))
