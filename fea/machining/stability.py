"""Regenerative chatter: how deep a cut is stable at each spindle speed.

The work comes round with the waves that the tool cut one revolution before, so the chip
varies with u(t) - u(t - tau). A cut is at its limit where, for some frequency w,

    det(I + (1 - exp(-i w tau)) G'(w) K) = 0,   G' = (I + i w D / v G)^-1 G

with receptance G of tool against work, dynamic cutting matrix K, process damping D and
cutting speed v. Waves along the cutting speed leave the chip as it is, so only the
motions x and y count and the determinant is that of a 2 x 2 matrix. For an eigenvalue
q = -1 / lambda of it, K may grow by the factor s with

    s (1 - exp(-i theta)) = q:   s = |q|² / (2 Re q),   theta = 2 atan2(Re q, Im q)

before it is at the limit at the speeds with w tau = theta + 2 pi N. Tlusty's
b = -1 / (2 K Re G) is the case of one direction (Altintas, Manufacturing Automation;
Schmitz & Smith, Machining Dynamics).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fea.core.modal_model import ComplexArray, ModalModel
from geometry.pad import FloatArray

SECONDS_A_MINUTE = 60.0
HIGHEST_HZ = 3000.0
"""Of the frequencies that are searched: stacks of a lathe chatter far below."""
BACKGROUND = 160
"""Frequencies spread evenly in ratio, beside those about the modes."""
LOWEST_SHARE = 0.5
"""Of the lowest mode: nothing chatters below it but by coupling of modes."""
NEAR_MODES = np.sinh(np.linspace(-2.0, 4.0, 41))
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

    Parameters
    ----------
    depth_mm : (k,) rising
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
    live = _able_to_chatter(_in_plane(receptance, edge.cutting[-1:]))
    frequency_hz, receptance = frequency_hz[live], receptance[live]
    if not len(frequency_hz):
        nothing = np.full(len(speed_rpm), np.inf)
        return Limits(depth_mm=nothing, frequency_hz=nothing * np.nan)
    speed_mm_s = np.pi * diameter_mm * speed_rpm / SECONDS_A_MINUTE
    omega = 2j * np.pi * frequency_hz
    loop = _in_plane(receptance, edge.cutting)
    rubbing = _in_plane(receptance, edge.damping) * omega[:, None, None]
    factors, found = np.empty((2, len(speed_rpm), len(edge.depth_mm)))
    for number, (speed, v) in enumerate(zip(speed_rpm, speed_mm_s, strict=True)):
        margin, theta = _margins(_damped(loop, rubbing / v))
        turns = frequency_hz[:, None] * SECONDS_A_MINUTE / speed - theta / (2.0 * np.pi)
        factors[number], found[number] = _least_at_whole_turns(
            margin, turns, frequency_hz
        )
    return _limits(edge.depth_mm, factors, found)


def smallest_limit(
    frequency_hz: FloatArray, receptance: ComplexArray, edge: EdgeGrid
) -> Limits:
    """Limit below which no speed chatters, without process damping; one value."""
    margin, _ = _margins(_in_plane(receptance, edge.cutting))
    least = margin.min(axis=(1, 2))
    at = margin.min(axis=2).argmin(axis=1)
    return _limits(edge.depth_mm, least[None], frequency_hz[at][None])


def _able_to_chatter(deepest: ComplexArray) -> NDArray[np.bool_]:
    """Which frequencies can be at the limit up to the deepest cut. (n_freq,).

    Those beside them are kept, too, so that a limit is always met between two; they
    stay above it, and so do not count themselves. `deepest` (1, n_freq, 2, 2).
    """
    margin, _ = _margins(deepest)
    able = (margin[0] <= 1.0).any(axis=1)
    beside = able.copy()
    beside[1:] |= able[:-1]
    beside[:-1] |= able[1:]
    return np.asarray(beside)


def _in_plane(receptance: ComplexArray, matrices: FloatArray) -> ComplexArray:
    """Open loop in the plane of the chip. (k, n_freq, 2, 2)."""
    return np.asarray(receptance[None, :, :2, :] @ matrices[:, None, :, :2])


def _damped(loop: ComplexArray, rubbing: ComplexArray) -> ComplexArray:
    """(I + R)^-1 L, all matrices 2 x 2."""
    a, b = 1.0 + rubbing[..., 0, 0], rubbing[..., 0, 1]
    c, d = rubbing[..., 1, 0], 1.0 + rubbing[..., 1, 1]
    adjugate = np.stack([np.stack([d, -b], -1), np.stack([-c, a], -1)], -2)
    return np.asarray(adjugate @ loop / (a * d - b * c)[..., None, None])


def _margins(loop: ComplexArray) -> tuple[FloatArray, FloatArray]:
    """Factor by which the cut may grow at a frequency, and the waves' phase there.

    `loop` (k, n_freq, 2, 2) to (k, n_freq, 2) each; the factor is infinite where a
    frequency cannot chatter.
    """
    value = _eigenvalues(loop)
    real = value.real
    chatters = real < 0.0
    factor = np.where(chatters, -0.5 / np.where(chatters, real, -1.0), np.inf)
    # q = -1 / value: Re q and Im q have the signs of -Re and +Im of value.
    return factor, np.where(chatters, 2.0 * np.arctan2(-real, value.imag), np.nan)


def _eigenvalues(loop: ComplexArray) -> ComplexArray:
    """Both eigenvalues, each followed smoothly over frequency. (k, n_freq, 2)."""
    half = (loop[..., 0, 0] + loop[..., 1, 1]) / 2.0
    product = loop[..., 0, 0] * loop[..., 1, 1] - loop[..., 0, 1] * loop[..., 1, 0]
    root = np.sqrt(half**2 - product)
    turned = (root[:, 1:] * root[:, :-1].conj()).real < 0.0
    root[:, 1:] *= np.cumprod(np.where(turned, -1.0, 1.0), axis=1)
    return np.stack([half + root, half - root], axis=-1)


def _least_at_whole_turns(
    margin: FloatArray, turns: FloatArray, frequency_hz: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Least factor where the waves fit a whole number of times, and its frequency.

    Between two frequencies in which the turns pass one whole number the factor is
    interpolated; where they pass several, any phase is met and the lesser end counts.
    `margin`, `turns` (k, n_freq, 2) to (k,) each.
    """
    before, after = turns[:, :-1], turns[:, 1:]
    low, high = np.minimum(before, after), np.maximum(before, after)
    passed = np.floor(high) - np.floor(low)  # NaN where a frequency cannot chatter
    with np.errstate(invalid="ignore"):
        share = (np.floor(high) - before) / (after - before)
        between = margin[:, :-1] + share * (margin[:, 1:] - margin[:, :-1])
        ends = np.minimum(margin[:, :-1], margin[:, 1:])
        met = np.where(passed == 1.0, between, np.where(passed > 1.0, ends, np.inf))
    met = np.nan_to_num(met, nan=np.inf).min(axis=2)
    at = met.argmin(axis=1)
    return met[np.arange(len(met)), at], frequency_hz[at]


def _limits(depth_mm: FloatArray, factors: FloatArray, found: FloatArray) -> Limits:
    """Depth at which the factor falls to 1. `factors`, `found` (n, k)."""
    rows = zip(factors, found, strict=True)
    pairs = [_crossing(depth_mm, factor, hertz) for factor, hertz in rows]
    depth, frequency = np.array(pairs).T
    return Limits(depth_mm=depth, frequency_hz=frequency)


def _crossing(
    depth_mm: FloatArray, factor: FloatArray, hertz: FloatArray
) -> tuple[float, float]:
    """Depth and frequency at which a factor (k,) first falls to 1."""
    beyond = np.flatnonzero(factor <= 1.0)
    if not len(beyond):
        return np.inf, np.nan
    at = beyond[0]
    if at == 0 or not np.isfinite(factor[at - 1]):
        # Along a straight edge the factor falls as the depth grows.
        return float(depth_mm[at] * factor[at]), float(hertz[at])
    high, low = np.log(factor[at - 1 : at + 1])
    share = high / (high - low)
    depth = depth_mm[at - 1] ** (1.0 - share) * depth_mm[at] ** share
    return float(depth), float(hertz[at])
