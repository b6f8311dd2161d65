"""How much harder a cut may get before its waves grow, from the loop that they close.

For an eigenvalue lambda of the loop G' K, waves neither grow nor die in a cut that is s
times as hard where, with q = -1 / lambda and theta = w tau,

    s (1 - exp(-i theta)) = q:   s = |q|² / (2 Re q),   theta = 2 atan2(Re q, Im q)

Of one mode q is (k/Kf) (r² - 1 - 2i zeta r), a smooth curve where lambda has a sharp
peak: between two frequencies q is taken to be straight, and few frequencies are enough.

Compiled loops: a limit asks for some fifteen margins, a fit for thousands of limits.
"""

from math import atan2, floor, inf, nan, pi, sqrt

import numpy as np

from fea.core.kernels import compiled
from fea.core.modal_model import ComplexArray
from geometry.pad import FloatArray

FARTHEST = 4.0
"""Margins above are as good as none, and their phases are not looked for."""
NO_GAIN = 1e-9
"""Eigenvalues below are rounding: a straight edge has but one that is not 0."""
ROOT_STEPS = 3
"""Of regula falsi, where the turns pass a whole number; they run almost straight."""
ANY = 0.0
"""Speed that stands for any: the waves are taken to fit."""


@compiled
def factor_at(q: complex) -> float:
    """Return the margin s, infinite where no cut chatters."""
    if q.real > 0.0:
        return (q.real**2 + q.imag**2) / (2.0 * q.real)
    return inf


@compiled
def turns_at(q: complex, hertz: float, speed_hz: float) -> float:
    """Return the turns of w tau less theta, whole where the waves fit.

    Without a jump where Re q changes sign, so that a stretch may begin or end where no
    cut chatters.
    """
    angle = atan2(q.real, q.imag) / pi
    if q.real < 0.0 and q.imag < 0.0:
        angle += 2.0
    return hertz / speed_hz - angle


@compiled
def lowest_share(q: complex, step: complex) -> float:
    """Return the share of the way from q to q + step where s is least.

    The circle through 0, tangent to the imaginary axis, touches the stretch there.
    """
    along = q.real * step.real + q.imag * step.imag
    square = step.real**2 + step.imag**2
    # square rise t² + 2 square Re q t + constant = 0, the root with Re q > 0; written
    # without the difference of two nearly equal numbers, and so for a rise of 0.
    constant = 2.0 * along * q.real - (q.real**2 + q.imag**2) * step.real
    half = square * q.real
    root = sqrt(max(half**2 - square * step.real * constant, 0.0))
    if half > 0.0:
        share = -constant / (half + root)
    elif step.real > 0.0:
        share = (root - half) / (square * step.real)
    else:
        share = root - half
    return min(max(share, 0.0), 1.0)


@compiled
def _share_at_turn(
    q: complex, step: complex, hertz: tuple[float, float], speed: float, whole: float
) -> float:
    """Share of the way at which the turns pass a whole number, by regula falsi.

    `hertz` at the lower end, and from there to the upper one.
    """
    near, far, share = 0.0, 1.0, 0.0
    miss_near = turns_at(q, hertz[0], speed) - whole
    miss_far = turns_at(q + step, hertz[0] + hertz[1], speed) - whole
    for _ in range(ROOT_STEPS):
        if miss_far == miss_near:
            break
        share = near - miss_near * (far - near) / (miss_far - miss_near)
        miss = turns_at(q + share * step, hertz[0] + share * hertz[1], speed) - whole
        if miss * miss_far >= 0.0:
            far, miss_far = share, miss
        else:
            near, miss_near = share, miss
    return share


@compiled
def _share(
    q: complex, step: complex, hertz: tuple[float, float], speed: float
) -> float:
    """Share of the way that counts, below 0 where no wave fits."""
    if speed == ANY:
        return lowest_share(q, step)
    begin = turns_at(q, hertz[0], speed)
    end = turns_at(q + step, hertz[0] + hertz[1], speed)
    whole = floor(max(begin, end))
    passed = whole - floor(min(begin, end))
    if passed < 1:
        return -1.0
    if passed > 1:
        return lowest_share(q, step)
    return _share_at_turn(q, step, hertz, speed, whole)


@compiled
def _inverse(value: complex) -> complex:
    """-1 / lambda."""
    return -1.0 / (value if abs(value) >= NO_GAIN else complex(NO_GAIN))


@compiled
def least_margin(
    gains: ComplexArray, frequency_hz: FloatArray, speed_hz: float
) -> tuple[float, float]:
    """Least factor by which a cut may get harder, and the frequency of its waves.

    Infinite where it is above `FARTHEST`, or where no waves fit. Both eigenvalues count
    where one of them has a margin below that. Where from one frequency to the next
    several waves more fit, every phase is met, and the least between the two counts.

    Parameters
    ----------
    gains : (2, n_freq) as `fea.machining.loop_gain.loop_gains` fills them
    frequency_hz : (n_freq,) rising
    speed_hz : revolutions a second, or `ANY`: then waves are taken to fit always
    """
    factor, found = inf, nan
    low = gains[0].real - np.abs(gains[1].real) < -0.5 / FARTHEST
    for at in range(len(frequency_hz) - 1):
        if not (low[at] or low[at + 1]):
            continue
        apart, beyond = gains[1, at], gains[1, at + 1]
        # A root's sign is free; the eigenvalue's smooth course picks it.
        if apart.real * beyond.real + apart.imag * beyond.imag < 0.0:
            beyond = -beyond
        hertz = frequency_hz[at], frequency_hz[at + 1] - frequency_hz[at]
        for sign in (1.0, -1.0):
            q = _inverse(gains[0, at] + sign * apart)
            step = _inverse(gains[0, at + 1] + sign * beyond) - q
            share = _share(q, step, hertz, speed_hz)
            own = factor_at(q + share * step) if share >= 0.0 else inf
            if own < factor:
                factor, found = own, hertz[0] + share * hertz[1]
    return factor, found
