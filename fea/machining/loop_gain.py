"""The loop that the waves close: structure, cut, and process damping."""

from dataclasses import dataclass

import numpy as np

from fea.core.modal_model import ComplexArray
from geometry.pad import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Loop:
    """Loop gain L = G K and rubbing R = i w G D, both in the plane of the chip.

    What is needed of (I + R/v)^-1 L for its eigenvalues at any cutting speed v. All
    (m, n_freq), for m cuts.

    Parameters
    ----------
    trace, determinant : of L
    mixed : trace L trace R - trace L R
    rubbing_trace, rubbing_determinant : of R
    """

    trace: ComplexArray
    determinant: ComplexArray
    mixed: ComplexArray
    rubbing_trace: ComplexArray
    rubbing_determinant: ComplexArray

    def row(self, number: int) -> "Loop":
        """Return one of the cuts."""
        own = slice(number, number + 1)
        return Loop(
            trace=self.trace[own],
            determinant=self.determinant[own],
            mixed=self.mixed[own],
            rubbing_trace=self.rubbing_trace[own],
            rubbing_determinant=self.rubbing_determinant[own],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Gains:
    """Both eigenvalues of the loop, half + root and half - root. (m, n_freq) each."""

    half: ComplexArray
    root: ComplexArray


def closed_loop(
    frequency_hz: FloatArray,
    receptance: ComplexArray,
    cutting: FloatArray,
    damping: FloatArray,
) -> Loop:
    """Loop of several cuts.

    Parameters
    ----------
    frequency_hz : (n_freq,)
    receptance : (n_freq, 3, 3) of tool against work [mm/N]
    cutting : (m, 3, 3) K [N/mm]
    damping : (m, 3, 3) D [N]
    """
    gain = _in_plane(receptance, cutting)
    rubbing = _in_plane(receptance, damping) * (2j * np.pi * frequency_hz)
    (a, b), (c, d) = gain
    (e, f), (g, h) = rubbing
    return Loop(
        trace=a + d,
        determinant=a * d - b * c,
        mixed=a * h + d * e - b * g - c * f,
        rubbing_trace=e + h,
        rubbing_determinant=e * h - f * g,
    )


def _in_plane(receptance: ComplexArray, matrices: FloatArray) -> ComplexArray:
    """Rows and columns x, y of receptance times matrices. (2, 2, m, n_freq)."""
    return np.asarray(
        np.tensordot(receptance[:, :2, :], matrices[:, :, :2], axes=(2, 1)).transpose(
            1, 3, 2, 0
        )
    )


def loop_gains(loop: Loop, per_speed: FloatArray) -> Gains:
    """Eigenvalues of the loops of m cuts, or of one cut at m speeds.

    Parameters
    ----------
    loop : (m, n_freq) or (1, n_freq)
    per_speed : (m,) 1 / v, 0 without process damping [s/mm]
    """
    beta = per_speed[:, None]
    shrunk = 1.0 + beta * (loop.rubbing_trace + beta * loop.rubbing_determinant)
    half = (loop.trace + beta * loop.mixed) / (2.0 * shrunk)
    return Gains(half=half, root=np.sqrt(half * half - loop.determinant / shrunk))
