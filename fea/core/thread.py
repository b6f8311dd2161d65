"""Metric screw threads and what bears beside them: pitch, areas, stiffness."""

import tomllib
from functools import cache
from math import pi
from pathlib import Path
from typing import cast

import numpy as np

_TABLE = Path(__file__).with_name("threads.toml")

# Flanks of a metric thread stand this far from square to its axis (ISO 68-1). [degrees]
HALF_ANGLE_DEG = 30.0

# Pitch diameter of a 60 degree thread, d - 0.64952 p (ISO 724).
PITCH_DIAMETER = 0.64952

# Stress diameter of a 60 degree thread, d - 0.9382 p (ISO 898-1).
STRESS_DIAMETER = 0.9382

# An engaged thread gives as much as this many diameters of free shank (VDI 2230-1,
# substitute length of the engaged thread, from memory).
ENGAGED_DIAMETERS = 0.5

# Friction of a full disc under even pressure acts at 2/3 of its radius.
DISC_FRICTION_RADIUS = 2.0 / 3.0


def coarse_pitch(diameter: float) -> float:
    """Pitch of the coarse metric thread nearest in size, interpolated. [mm].

    Inch threads of the coarse series differ from it by less than a tenth of a diameter.
    """
    return _interpolated("pitch_mm", diameter)


def pitch_diameter(diameter: float) -> float:
    """Pitch diameter of a coarse thread, where its friction acts. [mm]."""
    return diameter - PITCH_DIAMETER * coarse_pitch(diameter)


def stress_area(diameter: float) -> float:
    """Stress area of a coarse thread, pi / 4 (d - 0.9382 p)². [mm²]."""
    core = diameter - STRESS_DIAMETER * coarse_pitch(diameter)
    return pi / 4.0 * core**2


def nut_bearing_diameter(diameter: float) -> float:
    """Mean diameter of the ring under a hexagon nut or head. [mm].

    The ring reaches from the clearance hole to the width across flats.
    """
    flats = _interpolated("across_flats_mm", diameter)
    return (flats + _interpolated("hole_mm", diameter)) / 2.0


def point_bearing_diameter(diameter: float) -> float:
    """Diameter at which the friction of a set screw's flat point acts. [mm]."""
    return DISC_FRICTION_RADIUS * _interpolated("point_mm", diameter)


def point_area(diameter: float) -> float:
    """Area of a set screw's flat point. [mm²]."""
    return pi / 4.0 * _interpolated("point_mm", diameter) ** 2


def axial_stiffness(
    diameter: float, free_length: float, engaged_ends: int, modulus: float
) -> float:
    """Axial stiffness of a screw, E A / (free length + engaged parts). [N/mm].

    Parameters
    ----------
    diameter : nominal [mm]
    free_length : between its threads or head and thread [mm]
    engaged_ends : at how many ends it sits in a thread
    modulus : of the screw [MPa]
    """
    length = free_length + engaged_ends * ENGAGED_DIAMETERS * diameter
    return modulus * stress_area(diameter) / length


def lateral_stiffness(
    diameter: float, free_length: float, modulus: float, poissons_ratio: float
) -> float:
    """Stiffness of a screw's free end against a push from the side. [N/mm].

    A beam with shear of the thread's stress diameter, whose end is free to tilt; the
    thread that it is held by lengthens it as it does along the axis.

    Parameters
    ----------
    diameter : nominal [mm]
    free_length : that stands out of its thread [mm]
    modulus, poissons_ratio : of the screw [MPa], [-]

    Notes
    -----
    1 / k = l³ / 3 E I + l / kappa G A, with kappa = 6 (1 + nu) / (7 + 6 nu) of a round
    section (Timoshenko; Cowper, J. Appl. Mech. 33 (1966) 335; both from memory).
    """
    length = free_length + ENGAGED_DIAMETERS * diameter
    area = stress_area(diameter)
    second = area**2 / (4.0 * pi)
    shear = 3.0 * modulus / (7.0 + 6.0 * poissons_ratio)  # kappa G
    return 1.0 / (length**3 / (3.0 * modulus * second) + length / (shear * area))


def _interpolated(column: str, diameter: float) -> float:
    """Return a column at a nominal diameter, held at the ends of the table. [mm]."""
    sizes, values = _column(column)
    return float(np.interp(diameter, sizes, values))


@cache
def _column(name: str) -> tuple[list[float], list[float]]:
    having = [row for row in _coarse_threads() if name in row]
    sizes = [float(row["diameter_mm"]) for row in having]
    return sizes, [float(row[name]) for row in having]


@cache
def _coarse_threads() -> list[dict[str, float]]:
    table = tomllib.loads(_TABLE.read_text(encoding="utf-8"))
    return cast("list[dict[str, float]]", table["coarse"])
