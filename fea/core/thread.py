"""Screw threads: what a connector's axial stiffness needs to know of them."""

import tomllib
from functools import cache
from math import pi
from pathlib import Path

import numpy as np

_TABLE = Path(__file__).with_name("threads.toml")

# Stress diameter of a 60 degree thread, d - 0.9382 p (ISO 898-1).
STRESS_DIAMETER = 0.9382

# An engaged thread gives as much as this many diameters of free shank (VDI 2230-1,
# substitute length of the engaged thread, from memory).
ENGAGED_DIAMETERS = 0.5


def coarse_pitch(diameter: float) -> float:
    """Pitch of the coarse metric thread nearest in size, interpolated. [mm].

    Inch threads of the coarse series differ from it by less than a tenth of a diameter.
    """
    sizes, pitches = _coarse_series()
    return float(np.interp(diameter, sizes, pitches))


def stress_area(diameter: float) -> float:
    """Stress area of a coarse thread, pi / 4 (d - 0.9382 p)². [mm²]."""
    core = diameter - STRESS_DIAMETER * coarse_pitch(diameter)
    return pi / 4.0 * core**2


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


@cache
def _coarse_series() -> tuple[list[float], list[float]]:
    rows = tomllib.loads(_TABLE.read_text(encoding="utf-8"))["coarse"]
    sizes = [float(row["diameter_mm"]) for row in rows]
    return sizes, [float(row["pitch_mm"]) for row in rows]
