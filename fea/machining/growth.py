"""Growth of a small disturbance in a simulated cut, and the depth where it begins."""

import math
from itertools import islice

import numpy as np

from fea.machining.marching_edge import mean_thickness
from fea.machining.time_domain import Turning, marching_at, revolutions_of, steady_cut
from geometry.errors import InputError
from geometry.pad import FloatArray

KNOCK = 1e-6
"""Disturbance over mean thickness of the chip where growth is measured: so small that
force and motion are proportional, far above rounding."""
GROWTH_WINDOW = (1e-12, 1e-3)
"""Amplitudes over mean thickness of the chip that count, for the same two reasons."""
BLOCK_PERIODS = 5.0
"""Of the slowest mode: an amplitude is that of at least so many swings."""
LEAST_REVOLUTIONS = 30
"""Waves that grow less need so long to fall behind: the growth measured is then about
1 % a revolution too small at worst (a quarter over the revolutions that passed), which
puts the limit up to 2 % too high."""
TIME_CONSTANTS = 10.0
"""Of the slowest mode, after which free swinging has gone."""
DEPTHS_AT_ONCE = 6
"""Marched side by side, because a step costs hardly more for six than for one."""
CLOSE = 1.06
"""Ratio of two depths between which growth is taken as straight: then good to 0.2 %."""


def growth_per_revolution(turning: Turning, depth_mm: FloatArray) -> FloatArray:
    """Growth of a small disturbance: above 0 the cut chatters by itself.

    Parameters
    ----------
    turning : all but the depth
    depth_mm : (n,) that are cut, marched side by side

    Returns
    -------
    (n,) [-]
        Natural logarithm of the amplitude's ratio from one revolution to the next.

    Raises
    ------
    InputError
        A depth outside of its limits.
    SolveError
        The cut is stiffer than the modes left out allow for.
    """
    edge = marching_at(turning, depth_mm)
    chip = mean_thickness(edge)
    knock = float(KNOCK * chip.min())
    rest, _ = steady_cut(turning, edge)
    slowest = turning.model.frequency_hz.min()
    block = math.ceil(BLOCK_PERIODS / (slowest * turning.revolution_s))
    decay = 2.0 * np.pi * (turning.model.damping_ratio * turning.model.frequency_hz)
    settled = TIME_CONSTANTS / (decay.min() * turning.revolution_s)
    blocks = math.ceil(max(LEAST_REVOLUTIONS, settled) / block)
    turns = islice(revolutions_of(turning, depth_mm, knock), max(blocks, 3) * block)
    square = np.array([((u - rest[:, 0]) ** 2).sum(-1).mean(0) for u, _ in turns])
    amplitude = np.sqrt(square.reshape(-1, block, len(chip)).mean(axis=1)) / chip
    return np.array([_slope(each) / block for each in amplitude.T])


def limit_by_simulation(turning: Turning, low_mm: float, high_mm: float) -> float:
    """Depth at which a small disturbance neither grows nor dies. [mm].

    Parameters
    ----------
    turning : all but the depth
    low_mm, high_mm : depths between which the limit lies; the first limit above
        `low_mm` is found

    Returns
    -------
    float

    Raises
    ------
    InputError
        A depth outside of its limits, chatter at the lower one or none at the higher.
    SolveError
        The cut is stiffer than the modes left out allow for.

    Notes
    -----
    The range is divided until what is left is a few hundredths of the limit, and the
    growth taken as straight over that.
    """
    depth = np.geomspace(low_mm, high_mm, DEPTHS_AT_ONCE)
    growth = growth_per_revolution(turning, depth)
    if growth[0] > 0.0 or not (growth > 0.0).any():
        side, advice = ("high", "higher") if growth[0] <= 0.0 else ("low", "lower")
        value = high_mm if side == "high" else low_mm
        found = "does not chatter" if side == "high" else "chatters"
        message = (
            f"simulation.{side}_mm = {value:g} mm: {found} at {turning.speed_rpm:g} "
            f"rev/min, so the limit is not between the two depths; give a {advice} one"
        )
        raise InputError(message)
    above = int(np.argmax(growth > 0.0))
    while depth[above] > CLOSE * depth[above - 1]:
        ends = growth[[above - 1, above]]
        depth = np.geomspace(depth[above - 1], depth[above], DEPTHS_AT_ONCE + 2)
        inner = growth_per_revolution(turning, depth[1:-1])
        growth = np.concatenate([ends[:1], inner, ends[1:]])
        above = int(np.argmax(growth > 0.0))
    share = growth[above - 1] / (growth[above - 1] - growth[above])
    return float(depth[above - 1] + share * (depth[above] - depth[above - 1]))


def _slope(amplitude: FloatArray) -> float:
    """Growth of the logarithm from one block to the next, where it is proportional."""
    low, high = GROWTH_WINDOW
    if amplitude[:2].max() > high:
        # Out of the window at once: the knock is the only amplitude before.
        return float(np.log(amplitude[:2].max() / KNOCK))
    outside = np.flatnonzero((amplitude < low) | (amplitude > high))
    # What dies so fast that the window has passed at once still has two points.
    end = max(int(outside[0]), 2) if outside.size else amplitude.size
    late = np.log(amplitude[end // 2 if end > 2 else 0 : end])
    return float(np.polyfit(np.arange(late.size), late, 1)[0])
