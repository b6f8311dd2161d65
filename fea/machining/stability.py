"""Regenerative chatter: how deep a cut is stable at each spindle speed.

The work comes round with the waves that the tool cut one revolution before, so the chip
varies with u(t) - u(t - tau). A cut is at its limit where, for some frequency w,

    det(I + (1 - exp(-i w tau)) G'(w) K) = 0,   G' = (I + i w G D / v)^-1 G

with receptance G of tool against work, dynamic cutting matrix K, process damping D and
cutting speed v. Motion along the cutting speed leaves the chip as it is, so only the
motions x and y count, and the determinant is that of a 2 x 2 matrix. Tlusty's
b = -1 / (2 K Re G) is the case of one direction (Altintas, Manufacturing Automation;
Schmitz & Smith, Machining Dynamics).

A cut that is not there is stable. As its depth grows, it is stable until waves fit that
do not die: the first such depth is the limit. Some cuts become stable again far above,
in pockets that are left out.
"""

from dataclasses import dataclass

import numpy as np

from fea.core.modal_model import ComplexArray, ModalModel
from fea.machining.limit_search import first_limits
from fea.machining.wave_margin import ANY
from geometry.pad import FloatArray

SECONDS_A_MINUTE = 60.0
HIGHEST_HZ = 3000.0
"""Of the frequencies that are searched: stacks of a lathe chatter far below."""
BACKGROUND = 120
"""Frequencies spread evenly in ratio, beside those about the modes. Where the
receptance passes through 0 between two of them lobes end up to 9 % too high, ten times
above the least limit; three times as many still leave 6 %."""
LOWEST_SHARE = 0.5
"""Of the lowest mode: nothing chatters below it but by coupling of modes."""
NEAR_MODES = np.sinh(np.linspace(-3.0, 4.0, 21))
"""Frequencies about a mode, in half widths of its peak: dense where Re G turns."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Largest stable depth at some speeds.

    Parameters
    ----------
    depth_mm : (n,) infinite where the greatest depth tried is stable
    frequency_hz : (n,) of the vibration at the limit; NaN where there is none
    """

    depth_mm: FloatArray
    frequency_hz: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeGrid:
    """The cut at rising depths.

    From no cut at depth 0 to the first, and on from each to the next, the matrices are
    taken to run straight, as they do above the nose; steps of 1.5 keep that to 1 %.

    Parameters
    ----------
    depth_mm : (k,) rising, above 0
    cutting : (k, 3, 3) dynamic cutting matrices K [N/mm]
    damping : (k, 3, 3) process damping D times cutting speed [N]
    """

    depth_mm: FloatArray
    cutting: FloatArray
    damping: FloatArray


def search_frequencies(model: ModalModel) -> FloatArray:
    """Frequencies at which a structure's limit is looked for. (n_freq,) rising [Hz]."""
    modes = model.frequency_hz[:, None]
    near = modes * (1.0 + model.damping_ratio[:, None] * NEAR_MODES)
    low = LOWEST_SHARE * model.frequency_hz[0]
    spread = np.geomspace(low, HIGHEST_HZ, BACKGROUND)
    every = np.concatenate([near.ravel(), spread])
    return np.unique(every[(every >= low) & (every <= HIGHEST_HZ)])


def limits_at(
    frequency_hz: FloatArray,
    receptance: ComplexArray,
    edge: EdgeGrid,
    speed_rpm: FloatArray,
    diameter_mm: float,
) -> Limits:
    """Limits at given speeds, with process damping.

    Parameters
    ----------
    frequency_hz : (n_freq,) rising
    receptance : (n_freq, 3, 3) of tool against work [mm/N]
    edge : the cut
    speed_rpm : (n,)
    diameter_mm : of the work, from which the cutting speed follows
    """
    speed_hz = np.asarray(speed_rpm) / SECONDS_A_MINUTE
    per_speed = 1.0 / (np.pi * diameter_mm * speed_hz)
    return _limits(frequency_hz, receptance, edge, speed_hz, per_speed)


def smallest_limit(
    frequency_hz: FloatArray, receptance: ComplexArray, edge: EdgeGrid
) -> Limits:
    """Limit below which no speed chatters, without process damping; one value."""
    return _limits(frequency_hz, receptance, edge, np.array([ANY]), np.zeros(1))


def _limits(
    frequency_hz: FloatArray,
    receptance: ComplexArray,
    edge: EdgeGrid,
    speed_hz: FloatArray,
    per_speed: FloatArray,
) -> Limits:
    none = np.zeros((1, 3, 3))
    depth, hertz = np.empty((2, len(speed_hz)))
    first_limits(
        frequency_hz,
        receptance,
        np.append(0.0, edge.depth_mm),
        np.concatenate([none, edge.cutting]),
        np.concatenate([none, edge.damping]),
        speed_hz,
        per_speed,
        depth,
        hertz,
    )
    return Limits(depth_mm=depth, frequency_hz=hertz)
