"""The first depth at which a cut has no margin left: compiled loops."""

from math import exp, inf, isfinite, log, nan

import numpy as np

from fea.core.kernels import compiled
from fea.core.modal_model import ComplexArray
from fea.machining.loop_gain import NUMBERS, close_loop, loop_gains
from fea.machining.wave_margin import least_margin
from geometry.pad import FloatArray

DEPTH_STEPS = 8
"""Most that are taken between two depths of the grid to find a limit."""
CLOSE = 5e-4
"""A limit is found when the factor that is left is that near to 1."""
LEAST_STEP = 0.1
"""Of the way between two depths, by which each step moves in from both ends."""


@compiled
def first_limits(
    frequency_hz: FloatArray,
    receptance: ComplexArray,
    depth_mm: FloatArray,
    cutting: FloatArray,
    damping: FloatArray,
    speed_hz: FloatArray,
    per_speed: FloatArray,
    limit_mm: FloatArray,
    hertz: FloatArray,
) -> None:
    """Fill the first depth at which each speed has no margin left.

    Parameters
    ----------
    frequency_hz : (n_freq,) rising
    receptance : (n_freq, 3, 3) of tool against work [mm/N]
    depth_mm : (k,) rising from 0, between which the matrices run straight
    cutting, damping : (k, 3, 3) there, 0 at the first
    speed_hz : (n,) revolutions a second, or `fea.machining.wave_margin.ANY`
    per_speed : (n,) 1 / v, 0 without process damping [s/mm]
    limit_mm : (n,) filled; infinite where the greatest depth is stable
    hertz : (n,) filled with the frequency there, NaN where there is none
    """
    loops = np.empty((len(depth_mm), NUMBERS, len(frequency_hz)), np.complex128)
    gains = np.empty((2, len(frequency_hz)), np.complex128)
    for level in range(1, len(depth_mm)):
        close_loop(
            frequency_hz, receptance, cutting[level], damping[level], loops[level]
        )
    for number in range(len(speed_hz)):
        limit_mm[number], hertz[number] = inf, nan
        before = inf
        for level in range(1, len(depth_mm)):
            loop_gains(loops[level], per_speed[number], gains)
            factor, found = least_margin(gains, frequency_hz, speed_hz[number])
            if factor <= 1.0:
                limit_mm[number], hertz[number] = _between(
                    (frequency_hz, receptance, loops[0], gains),
                    (depth_mm[level - 1], cutting[level - 1], damping[level - 1]),
                    (depth_mm[level], cutting[level], damping[level]),
                    (speed_hz[number], per_speed[number]),
                    (before, factor, found),
                )
                break
            before = factor


@compiled
def _between(
    given: tuple[FloatArray, ComplexArray, ComplexArray, ComplexArray],
    shallow: tuple[float, FloatArray, FloatArray],
    deep: tuple[float, FloatArray, FloatArray],
    speed: tuple[float, float],
    ends: tuple[float, float, float],
) -> tuple[float, float]:
    """Depth between a stable and a chattering one at which the factor falls to 1.

    Parameters
    ----------
    given : frequencies, receptance, and room for a loop and its gains
    shallow, deep : depth, cutting matrix and damping of both
    speed : in revolutions a second, and 1 / v
    ends : factors of both, and the frequency at the deep one
    """
    frequency_hz, receptance, loop, gains = given
    low, high = shallow[0], deep[0]
    over, under, hertz = ends
    depth = high
    for _ in range(DEPTH_STEPS):
        depth = _guess(low, high, over, under)
        share = (depth - shallow[0]) / (deep[0] - shallow[0])
        cutting = (1.0 - share) * shallow[1] + share * deep[1]
        damping = (1.0 - share) * shallow[2] + share * deep[2]
        close_loop(frequency_hz, receptance, cutting, damping, loop)
        loop_gains(loop, speed[1], gains)
        factor, found = least_margin(gains, frequency_hz, speed[0])
        if isfinite(factor):
            hertz = found
        if factor <= 1.0:
            high, under = depth, factor
        else:
            low, over = depth, factor
        if high - low <= CLOSE * depth or abs(log(factor)) <= CLOSE:
            break
    return depth, hertz


@compiled
def _guess(low: float, high: float, over: float, under: float) -> float:
    """Depth at which the factor should be 1: it falls about as the depth grows."""
    if isfinite(over):
        share = log(over) / (log(over) - log(under))
        guess = high * exp((share - 1.0) * log(high / low))
    else:
        guess = high * under
    apart = LEAST_STEP * (high - low)
    return min(max(guess, low + apart), high - apart)
