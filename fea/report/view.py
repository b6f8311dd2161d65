"""From where a stack is seen: one parallel projection for every picture of both."""

from dataclasses import dataclass

import numpy as np

from geometry.pad import FloatArray

TOWARD_EYE = np.array([0.466, -0.752, 0.466])
"""From the front, left and above: the operator's side, toward the headstock."""
MARGIN = 1.06
TALLNESS = (0.6, 1.1)
"""Least and most height of a picture over its width."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Parallel projection onto a window of pixels.

    Parameters
    ----------
    focus : (3,) [mm], in the middle of the window
    half_height : of the window [mm]
    window : width and height [pixel]
    """

    focus: FloatArray
    half_height: float
    window: tuple[int, int]

    def pixels(self, points: FloatArray) -> FloatArray:
        """Columns from the left and rows from the top. (..., 3) to (..., 2)."""
        width, height = self.window
        per_mm = height / (2.0 * self.half_height)
        flat = (points - self.focus) @ screen_axes().T * per_mm
        return np.asarray(flat * [1.0, -1.0] + [width / 2.0, height / 2.0])


def screen_axes() -> FloatArray:
    """Rows: machine directions that point right and up in the picture. (2, 3)."""
    right = np.cross(-TOWARD_EYE, [0.0, 0.0, 1.0])
    up = np.cross(TOWARD_EYE, right)
    return np.array([right / np.linalg.norm(right), up / np.linalg.norm(up)])


def view_of(points: FloatArray, width: int) -> View:
    """View that shows all points (n, 3) [mm] with a small margin.

    The window is `width` pixels wide and as high as the points need, within limits.
    """
    axes = screen_axes()
    flat = points @ axes.T
    low, high = flat.min(axis=0), flat.max(axis=0)
    half_width, half_height = MARGIN * (high - low) / 2.0
    tallness = float(np.clip(half_height / half_width, *TALLNESS))
    height = round(width * tallness)
    return View(
        focus=(low + high) / 2.0 @ axes,
        half_height=float(max(half_height, half_width * tallness)),
        window=(width, height),
    )
