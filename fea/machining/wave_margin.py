"""How much harder a cut may get before its waves grow, from the loop that they close.

For an eigenvalue lambda of the loop G' K, waves neither grow nor die in a cut that is s
times as hard where, with q = -1 / lambda and theta = w tau,

    s (1 - exp(-i theta)) = q:   s = |q|² / (2 Re q),   theta = 2 atan2(Re q, Im q)

Of one mode q is (k/Kf) (r² - 1 - 2i zeta r), a smooth curve where lambda has a sharp
peak: between two frequencies q is taken to be straight, and few frequencies are enough.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fea.core.modal_model import ComplexArray
from fea.machining.loop_gain import Gains
from geometry.pad import FloatArray

FARTHEST = 4.0
"""Margins above are as good as none, and their phases are not looked for."""
NO_GAIN = 1e-9
"""Eigenvalues below are rounding: a straight edge has but one that is not 0."""
ROOT_STEPS = 3
"""Of regula falsi, where the turns pass a whole number; they run almost straight."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """Stretches between two frequencies, on which q and f are straight. (p,) each.

    Parameters
    ----------
    cut : number of the cut that each belongs to
    q, q_step : at the lower end, and from there to the upper one
    hertz, hertz_step : the same of the frequency
    """

    cut: NDArray[np.intp]
    q: ComplexArray
    q_step: ComplexArray
    hertz: FloatArray
    hertz_step: FloatArray

    def factor(self, share: FloatArray) -> FloatArray:
        """Return the margin s at a share of the way, infinite where no cut chatters."""
        q = self.q + share * self.q_step
        chatters = q.real > 0.0
        real = np.where(chatters, q.real, 1.0)
        square = q.real**2 + q.imag**2
        return np.where(chatters, square / (2.0 * real), np.inf)

    def turns(self, share: FloatArray | float, speed_hz: FloatArray) -> FloatArray:
        """Return the turns of w tau less theta, whole where the waves fit.

        Without a jump where Re q changes sign, so that a piece may begin or end where
        no cut chatters.
        """
        q = self.q + share * self.q_step
        angle = np.arctan2(q.real, q.imag) / np.pi
        angle = np.where((q.real < 0.0) & (q.imag < 0.0), angle + 2.0, angle)
        return np.asarray((self.hertz + share * self.hertz_step) / speed_hz - angle)

    def lowest(self) -> FloatArray:
        """Return the share of the way at which s, that is |q|² / Re q, is least.

        The circle through 0, tangent to the imaginary axis, touches the piece there.
        """
        along = (self.q.conj() * self.q_step).real
        step, rise = np.abs(self.q_step) ** 2, self.q_step.real
        # step rise t² + 2 step Re q t + constant = 0, the root with Re q > 0; written
        # without the difference of two nearly equal numbers, and so for a rise of 0.
        constant = 2.0 * along * self.q.real - np.abs(self.q) ** 2 * rise
        half = step * self.q.real
        root = np.sqrt(np.maximum(half**2 - step * rise * constant, 0.0))
        share = np.where(
            half > 0.0,
            -constant / np.where(half > 0.0, half + root, 1.0),
            (root - half) / np.where(rise > 0.0, step * rise, 1.0),
        )
        return np.asarray(np.clip(share, 0.0, 1.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Margin:
    """Least factor by which each cut may get harder, and the vibration then.

    Parameters
    ----------
    factor : (m,) infinite where it is above `FARTHEST`
    frequency_hz : (m,) NaN there
    """

    factor: FloatArray
    frequency_hz: FloatArray


def margin_at_speeds(
    gains: Gains, frequency_hz: FloatArray, speed_hz: FloatArray
) -> Margin:
    """Least margin at which the waves fit, of cuts at given speeds.

    Where from one frequency to the next several waves more fit, every phase is met, and
    the least margin between the two counts.

    Parameters
    ----------
    gains : (m, n_freq)
    frequency_hz : (n_freq,) rising
    speed_hz : (m,) revolutions a second
    """
    pieces = _low_pieces(gains, frequency_hz)
    speed = speed_hz[pieces.cut]
    ends = pieces.turns(0.0, speed), pieces.turns(1.0, speed)
    whole = np.floor(np.maximum(*ends))
    passed = whole - np.floor(np.minimum(*ends))
    fits = passed >= 1.0
    pieces, speed, whole = _kept(pieces, fits), speed[fits], whole[fits]
    share = np.where(
        passed[fits] > 1.0, pieces.lowest(), _share_at_turn(pieces, whole, speed)
    )
    return _least(pieces, share, len(gains.half))


def margin_at_any_speed(gains: Gains, frequency_hz: FloatArray) -> Margin:
    """Least margin of cuts, whether the waves fit or not. See `margin_at_speeds`."""
    pieces = _low_pieces(gains, frequency_hz)
    return _least(pieces, pieces.lowest(), len(gains.half))


def _low_pieces(gains: Gains, frequency_hz: FloatArray) -> Pieces:
    """Pieces of both eigenvalues, where one of them has a margin below `FARTHEST`."""
    low = gains.half.real - np.abs(gains.root.real) < -0.5 / FARTHEST
    cut, at = np.nonzero(low[:, 1:] | low[:, :-1])
    half, root = (
        [each[cut, at + beyond] for beyond in (0, 1)]
        for each in (gains.half, gains.root)
    )
    # A root's sign is free; the eigenvalue's smooth course picks it.
    turned = (root[0] * root[1].conj()).real < 0.0
    root[1] = np.where(turned, -root[1], root[1])
    begin, end = (
        _inverse(np.concatenate([mean + apart, mean - apart]))
        for mean, apart in zip(half, root, strict=True)
    )
    return Pieces(
        cut=np.tile(cut, 2),
        q=begin,
        q_step=end - begin,
        hertz=np.tile(frequency_hz[at], 2),
        hertz_step=np.tile(np.diff(frequency_hz)[at], 2),
    )


def _inverse(value: ComplexArray) -> ComplexArray:
    """-1 / lambda."""
    return np.asarray(-1.0 / np.where(np.abs(value) < NO_GAIN, NO_GAIN, value))


def _kept(pieces: Pieces, chosen: NDArray[np.bool_]) -> Pieces:
    return Pieces(
        cut=pieces.cut[chosen],
        q=pieces.q[chosen],
        q_step=pieces.q_step[chosen],
        hertz=pieces.hertz[chosen],
        hertz_step=pieces.hertz_step[chosen],
    )


def _share_at_turn(pieces: Pieces, whole: FloatArray, speed: FloatArray) -> FloatArray:
    """Share of the way at which the turns pass a whole number, by regula falsi."""
    near, far = np.zeros_like(whole), np.ones_like(whole)
    miss_near = pieces.turns(near, speed) - whole
    miss_far = pieces.turns(far, speed) - whole
    share = near
    for _ in range(ROOT_STEPS):
        share = near - miss_near * (far - near) / (miss_far - miss_near)
        miss = pieces.turns(share, speed) - whole
        beyond = miss * miss_far >= 0.0
        far, miss_far = np.where(beyond, share, far), np.where(beyond, miss, miss_far)
        near = np.where(beyond, near, share)
        miss_near = np.where(beyond, miss_near, miss)
        if not (miss_far != miss_near).all():
            break
    return share


def _least(pieces: Pieces, share: FloatArray, cuts: int) -> Margin:
    """Least factor of each cut, and the frequency where it is met."""
    factor = pieces.factor(share)
    hertz = pieces.hertz + share * pieces.hertz_step
    order = np.lexsort((factor, pieces.cut))
    first = order[np.unique(pieces.cut[order], return_index=True)[1]]
    first = first[np.isfinite(factor[first])]
    least, found = np.full(cuts, np.inf), np.full(cuts, np.nan)
    least[pieces.cut[first]] = factor[first]
    found[pieces.cut[first]] = hertz[first]
    return Margin(factor=least, frequency_hz=found)
