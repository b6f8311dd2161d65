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
from numpy.typing import NDArray

from fea.core.modal_model import ComplexArray, ModalModel
from fea.machining.loop_gain import Loop, closed_loop, loop_gains
from fea.machining.wave_margin import Margin, margin_at_any_speed, margin_at_speeds
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
DEPTH_STEPS = 8
"""Most that are taken between two depths of the grid to find a limit."""
CLOSE = 5e-4
"""A limit is found when the factor that is left is that near to 1."""
LEAST_STEP = 0.1
"""Of the way between two depths, by which each step moves in from both ends."""


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


_Numbers = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Search:
    """What does not change while a limit is looked for; speeds (n,).

    Without speeds the waves are taken to fit always, and nothing rubs: n is 1.
    """

    frequency_hz: FloatArray
    receptance: ComplexArray
    edge: EdgeGrid
    speed_hz: FloatArray | None
    per_speed: FloatArray

    def margin(self, loop: Loop, chosen: _Numbers) -> Margin:
        """Margins of a loop, or of one each, at chosen speeds (numbers of them)."""
        gains = loop_gains(loop, self.per_speed[chosen])
        if self.speed_hz is None:
            return margin_at_any_speed(gains, self.frequency_hz)
        return margin_at_speeds(gains, self.frequency_hz, self.speed_hz[chosen])

    def loop(self, depth_mm: FloatArray) -> Loop:
        """Loops at any depths up to the grid's deepest."""
        grid = np.append(0.0, self.edge.depth_mm)
        above = np.clip(np.searchsorted(grid, depth_mm), 1, len(grid) - 1)
        share = (depth_mm - grid[above - 1]) / (grid[above] - grid[above - 1])
        weights = np.zeros((len(depth_mm), len(grid)))
        row = np.arange(len(depth_mm))
        weights[row, above - 1], weights[row, above] = 1.0 - share, share
        # At depth 0 there is no cut to weigh.
        cutting, damping = (
            np.tensordot(weights[:, 1:], each, axes=1)
            for each in (self.edge.cutting, self.edge.damping)
        )
        return closed_loop(self.frequency_hz, self.receptance, cutting, damping)


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
    return _first_limits(
        _Search(
            frequency_hz=frequency_hz,
            receptance=receptance,
            edge=edge,
            speed_hz=speed_hz,
            per_speed=1.0 / (np.pi * diameter_mm * speed_hz),
        )
    )


def smallest_limit(
    frequency_hz: FloatArray, receptance: ComplexArray, edge: EdgeGrid
) -> Limits:
    """Limit below which no speed chatters, without process damping; one value."""
    return _first_limits(
        _Search(
            frequency_hz=frequency_hz,
            receptance=receptance,
            edge=edge,
            speed_hz=None,
            per_speed=np.zeros(1),
        )
    )


def _first_limits(search: _Search) -> Limits:
    """First depth at which each speed has no margin left."""
    number = len(search.per_speed)
    depths = np.append(0.0, search.edge.depth_mm)
    every = search.loop(search.edge.depth_mm)
    factor = np.full((number, len(depths)), np.inf)
    hertz = np.full(number, np.nan)
    above = np.zeros(number, dtype=np.intp)
    left = np.arange(number)
    for level in range(1, len(depths)):
        found = search.margin(every.row(level - 1), left)
        factor[left, level] = found.factor
        over = found.factor <= 1.0
        above[left[over]], hertz[left[over]] = level, found.frequency_hz[over]
        left = left[~over]
    limit = np.full(number, np.inf)
    crossed = np.flatnonzero(above)
    low, high = (
        _End(depth_mm=depths[level], factor=factor[crossed, level])
        for level in (above[crossed] - 1, above[crossed])
    )
    limit[crossed], hertz[crossed] = _between(
        search, crossed, low, high, hertz[crossed]
    )
    return Limits(depth_mm=limit, frequency_hz=hertz)


@dataclass(frozen=True, slots=True, kw_only=True)
class _End:
    """Depths on one side of the limits, and the factors there; narrowed in place."""

    depth_mm: FloatArray
    factor: FloatArray


def _between(
    search: _Search, speeds: _Numbers, low: _End, high: _End, hertz: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Depths between stable and chattering ones at which the factor falls to 1."""
    depth, hertz = high.depth_mm.copy(), hertz.copy()
    left = np.arange(len(speeds))
    for _ in range(DEPTH_STEPS):
        depth[left] = _guess(low, high, left)
        found = search.margin(search.loop(depth[left]), speeds[left])
        seen = np.isfinite(found.factor)
        hertz[left[seen]] = found.frequency_hz[seen]
        over = found.factor <= 1.0
        for end, side in ((high, left[over]), (low, left[~over])):
            end.depth_mm[side] = depth[side]
        high.factor[left[over]] = found.factor[over]
        low.factor[left[~over]] = found.factor[~over]
        apart = high.depth_mm[left] - low.depth_mm[left] > CLOSE * depth[left]
        left = left[apart & (np.abs(np.log(found.factor)) > CLOSE)]
        if not left.size:
            break
    return depth, hertz


def _guess(low: _End, high: _End, chosen: _Numbers) -> FloatArray:
    """Depth at which the factor should be 1: it falls about as the depth grows."""
    shallow, deep = low.depth_mm[chosen], high.depth_mm[chosen]
    over, under = low.factor[chosen], high.factor[chosen]
    known = np.isfinite(over)
    top, bottom = np.log(np.where(known, over, 1.0)), np.log(under)
    share = top / np.where(known, top - bottom, 1.0)
    width = np.log(deep / np.where(known, shallow, deep))
    guess = np.where(known, deep * np.exp((share - 1.0) * width), deep * under)
    apart = LEAST_STEP * (deep - shallow)
    return np.asarray(np.clip(guess, shallow + apart, deep - apart))
