"""Damping of a peak: from the logarithmic decrement, and from its half-power width."""

from math import hypot, pi

import numpy as np

from geometry.pad import FloatArray

HALF_POWER = 0.5


def decrement_damping(decrement: float) -> float:
    """Return the damping ratio of a decrement d, d / sqrt(4 pi^2 + d^2)."""
    return decrement / hypot(2.0 * pi, decrement)


def half_power_damping(lower_hz: float, upper_hz: float) -> float:
    """Return the damping ratio of a peak between its half-power frequencies.

    The middle of the two stands for the natural frequency: (f2 - f1) / (f1 + f2).
    """
    return (upper_hz - lower_hz) / (upper_hz + lower_hz)


def half_power_band(
    frequency_hz: FloatArray, power: FloatArray, peak: int
) -> tuple[float, float] | None:
    """Return where the power is half of that at a peak, left and right of it.

    Parameters
    ----------
    frequency_hz : (n_line,) rising [Hz]
    power : (n_line,)
    peak : index of the peak

    Returns
    -------
    Both frequencies [Hz], between lines by straight lines; None where the power rises
    again before it has come down to half.
    """
    left = _crossing(frequency_hz[peak::-1], power[peak::-1])
    right = _crossing(frequency_hz[peak:], power[peak:])
    return None if left is None or right is None else (left, right)


def _crossing(frequency_hz: FloatArray, power: FloatArray) -> float | None:
    """Return where the power has first fallen to half of its first value."""
    half = HALF_POWER * power[0]
    below = np.flatnonzero(power <= half)
    if not below.size:
        return None
    first = int(below[0])
    if power[:first].max() > power[0]:
        return None
    share = (power[first - 1] - half) / (power[first - 1] - power[first])
    step = frequency_hz[first] - frequency_hz[first - 1]
    return float(frequency_hz[first - 1] + share * step)
