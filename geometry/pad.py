"""A pad: a flat rectangle on a part's surface where it touches something."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Vector = tuple[float, float, float]

# Rounding and the kernel's own tolerance of 1e-7 move points by less. [mm]
ON_PAD_MM = 1e-6


def as_vector(values: Sequence[float] | FloatArray) -> Vector:
    """Three plain floats, as a pad keeps them (hashable and exact in JSON)."""
    x, y, z = (float(value) for value in values)
    return x, y, z


@dataclass(frozen=True, slots=True, kw_only=True)
class Pad:
    """A flat rectangle with a local frame, with or without a window in its middle.

    Both parts of a joint carry the same rectangle, each in its own frame of
    reference, so that the functions on the pad are the same functions. The normal
    therefore belongs to the pad and not to a part: of the two parts it points out of
    the *lower* one and into the *upper* one.

    Parameters
    ----------
    name : unique within its part
    centre : (3,) [mm]
    first, second : (3,) unit vectors along the sides, at right angles
    half_sizes : (2,) [mm], along `first` and `second`
    window : (2,) [mm] or None; half sizes of a centred rectangle that is left out
    """

    name: str
    centre: Vector
    first: Vector
    second: Vector
    half_sizes: tuple[float, float]
    window: tuple[float, float] | None = None

    @property
    def normal(self) -> Vector:
        """Unit vector `first` x `second`."""
        return as_vector(np.cross(self.first, self.second))

    @property
    def axes(self) -> FloatArray:
        """Rows `first`, `second`, `normal`. (3, 3)."""
        return np.array([self.first, self.second, self.normal])

    @property
    def area(self) -> float:
        """Area without the window. [mm²]."""
        a, b = self.half_sizes
        c, d = self.window or (0.0, 0.0)
        return 4.0 * (a * b - c * d)

    def corners(self, half_sizes: tuple[float, float] | None = None) -> FloatArray:
        """Corners, once around; of the window if given its half sizes. (4, 3) [mm]."""
        a, b = half_sizes or self.half_sizes
        signs = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], dtype=float)
        return np.asarray(self.centre) + (signs * [a, b]) @ self.axes[:2]

    def local(self, points: FloatArray) -> FloatArray:
        """Coordinates of points in the pad's frame. (..., 3) to (..., 3) [mm]."""
        return np.asarray((points - np.asarray(self.centre)) @ self.axes.T)

    def contains(
        self, points: FloatArray, tolerance: float = ON_PAD_MM
    ) -> NDArray[np.bool_]:
        """Which points lie on the pad, its edges included. (..., 3) to (...)."""
        xi, eta, off = np.moveaxis(self.local(points), -1, 0)
        a, b = self.half_sizes
        inside = (np.abs(xi) <= a + tolerance) & (np.abs(eta) <= b + tolerance)
        if self.window is not None:
            c, d = self.window
            inside &= (np.abs(xi) >= c - tolerance) | (np.abs(eta) >= d - tolerance)
        return np.asarray(inside & (np.abs(off) <= tolerance))

    def moved(self, shift: Sequence[float] | FloatArray) -> "Pad":
        """Return the same pad somewhere else. `shift` (3,) [mm]."""
        return replace(self, centre=as_vector(np.add(self.centre, shift)))

    def turned(self, rotation: FloatArray) -> "Pad":
        """Return the pad turned about the origin. `rotation` (3, 3), orthogonal."""
        return replace(
            self,
            centre=as_vector(rotation @ self.centre),
            first=as_vector(rotation @ self.first),
            second=as_vector(rotation @ self.second),
        )
