"""What a simulated vibration looks like: its way, pitch, and the waves it leaves."""

import numpy as np

from fea.machining.edge_stiffness import EngagedEdge
from geometry.pad import FloatArray


def chip_direction(edge: EngagedEdge) -> FloatArray:
    """Average over the edge along which a chip is thick, of unit length. (n, 3)."""
    sides = (edge.chip_width_mm[..., None] * edge.normal).sum(axis=1)
    return np.asarray(sides / np.linalg.norm(sides, axis=1, keepdims=True))


def pitch_hz(motion: FloatArray, step_s: float) -> float:
    """Frequency of the strongest swing; NaN where nothing moves.

    Parameters
    ----------
    motion : (n,) at equal steps
    step_s : length of a step

    Notes
    -----
    Highest line of the spectrum, between lines by a parabola through its logarithm,
    which for a Hann window is good to a few hundredths of a line.
    """
    still = motion - motion.mean()
    size = np.abs(np.fft.rfft(still * np.hanning(still.size)))
    top = int(size[1:-1].argmax()) + 1
    if size[top - 1 : top + 2].min() <= 0.0:
        return float("nan")
    left, middle, right = np.log(size[top - 1 : top + 2])
    aside = 0.5 * (left - right) / (left - 2.0 * middle + right)
    return float((top + aside) / (still.size * step_s))


def turned_surface(path_mm: FloatArray, feed_mm: float, nose_mm: float) -> FloatArray:
    """Height of the finished surface behind a tool that is fed along it.

    Parameters
    ----------
    path_mm : (n, steps) motion of the tip out of the work, a row for each revolution
    feed_mm : of each revolution
    nose_mm : radius of the tool's corner

    Returns
    -------
    (m, steps) [mm]
        Of the middle revolutions, those with as many neighbours as reach their track.

    Notes
    -----
    The nose j revolutions away stands (j f)²/(2 r) higher over the same track, so what
    the tool left there the neighbours still cut down: the height is the least of
    x_j + (j f)²/(2 r). A sharp corner reaches its own track only.
    """
    reach = min(int(nose_mm / feed_mm), (len(path_mm) - 1) // 2)
    rows = len(path_mm) - 2 * reach
    passes = [
        path_mm[reach + j : reach + j + rows]
        + ((j * feed_mm) ** 2 / (2.0 * nose_mm) if j else 0.0)
        for j in range(-reach, reach + 1)
    ]
    return np.asarray(np.min(passes, axis=0))


def plunged_surface(path_mm: FloatArray, feed_mm: float) -> FloatArray:
    """Height of the surface at the last revolution of a tool fed into it. (1, steps).

    The tool j revolutions before stood j feeds further out; the deepest counts.
    """
    ago = np.arange(len(path_mm))[::-1, None]
    return np.asarray((path_mm + ago * feed_mm).min(axis=0, keepdims=True))
