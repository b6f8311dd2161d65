"""The loop that the waves close: structure, cut, and process damping.

Loop gain L = G K and rubbing R = i w G D, both in the plane of the chip. Of
(I + R/v)^-1 L the eigenvalues at any cutting speed v follow from five numbers at each
frequency: trace L, det L, trace L trace R - trace L R, trace R and det R.
"""

import numpy as np

from fea.core.kernels import compiled
from fea.core.modal_model import ComplexArray
from geometry.pad import FloatArray

NUMBERS = 5
"""Of a loop at each frequency."""


@compiled
def close_loop(
    frequency_hz: FloatArray,
    receptance: ComplexArray,
    cutting: FloatArray,
    damping: FloatArray,
    loop: ComplexArray,
) -> None:
    """Fill the numbers of a loop (`NUMBERS`, n_freq).

    Parameters
    ----------
    frequency_hz : (n_freq,)
    receptance : (n_freq, 3, 3) of tool against work [mm/N]
    cutting : (3, 3) K [N/mm]
    damping : (3, 3) D [N]
    loop : filled
    """
    gain = np.empty((2, 2), np.complex128)
    rubbing = np.empty((2, 2), np.complex128)
    for at in range(len(frequency_hz)):
        turned = 2j * np.pi * frequency_hz[at]
        for row in range(2):
            for column in range(2):
                cut, rubbed = 0j, 0j
                for inner in range(3):
                    cut += receptance[at, row, inner] * cutting[inner, column]
                    rubbed += receptance[at, row, inner] * damping[inner, column]
                gain[row, column] = cut
                rubbing[row, column] = turned * rubbed
        a, b, c, d = gain[0, 0], gain[0, 1], gain[1, 0], gain[1, 1]
        e, f, g, h = rubbing[0, 0], rubbing[0, 1], rubbing[1, 0], rubbing[1, 1]
        loop[0, at] = a + d
        loop[1, at] = a * d - b * c
        loop[2, at] = a * h + d * e - b * g - c * f
        loop[3, at] = e + h
        loop[4, at] = e * h - f * g


@compiled
def loop_gains(loop: ComplexArray, per_speed: float, gains: ComplexArray) -> None:
    """Fill the eigenvalues of a loop, as half + root and half - root.

    Parameters
    ----------
    loop : (`NUMBERS`, n_freq)
    per_speed : 1 / v, 0 without process damping [s/mm]
    gains : (2, n_freq) filled with half and root
    """
    for at in range(loop.shape[1]):
        shrunk = 1.0 + per_speed * (loop[3, at] + per_speed * loop[4, at])
        half = (loop[0, at] + per_speed * loop[2, at]) / (2.0 * shrunk)
        gains[0, at] = half
        gains[1, at] = np.sqrt(half * half - loop[1, at] / shrunk)
