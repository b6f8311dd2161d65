"""Where on a part stress is looked for: inner corners, bores, lips, by name."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from geometry.pad import FloatArray, Vector, as_vector

# Between faces that a square tool leaves. [degrees]
SQUARE_DEG = 90.0

# Around a bore the stress is disturbed to about this many of its radii: a quarter of
# the peak is left there (Kirsch's plate).
BORE_REACH = 2.0

# Lips reach this far beyond their faces, so that points in a face belong to them. [mm]
ROUNDING_MM = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Notch:
    """A straight re-entrant edge, sharp in the mesh.

    Parameters
    ----------
    name : several edges of a part may share one
    start, end : (3,) [mm], in the part's frame
    opening_deg : angle of the void between its two faces, below 180
    """

    name: str
    start: Vector
    end: Vector
    opening_deg: float

    def distance(self, points: FloatArray) -> FloatArray:
        """Shortest distance of points from the edge. (n, 3) to (n,) [mm]."""
        start = np.asarray(self.start)
        along = np.subtract(self.end, start)
        share = np.clip((points - start) @ along / (along @ along), 0.0, 1.0)
        off = points - start - share[:, None] * along
        return np.asarray(np.linalg.norm(off, axis=1))


class Zone(Protocol):
    """A region of a part with a name of its own."""

    @property
    def name(self) -> str:
        """What a fitter calls it."""

    def contains(self, points: FloatArray) -> NDArray[np.bool_]:
        """Which points lie in it. (n, 3) to (n,)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lip:
    """A wall that stands out, between two opposite corners. [mm]."""

    name: str
    low: Vector
    high: Vector

    def contains(self, points: FloatArray) -> NDArray[np.bool_]:
        """As `Zone` says; the faces belong to it."""
        above = points >= np.subtract(self.low, ROUNDING_MM)
        below = points <= np.add(self.high, ROUNDING_MM)
        return np.asarray((above & below).all(axis=1))


@dataclass(frozen=True, slots=True, kw_only=True)
class Bore:
    """A round hole along z, through the part's origin.

    Parameters
    ----------
    name : what a fitter calls it
    radius : [mm]
    """

    name: str
    radius: float

    def contains(self, points: FloatArray) -> NDArray[np.bool_]:
        """As `Zone` says: as far as the hole disturbs the stress."""
        off = np.linalg.norm(points[:, :2], axis=1)
        return np.asarray(off <= BORE_REACH * self.radius)


def notches_along(
    name: str, starts: FloatArray, along: Vector, opening_deg: float
) -> tuple[Notch, ...]:
    """Parallel edges of one name and length. `starts` (n, 3), `along` (3,) [mm]."""
    return tuple(
        Notch(
            name=name,
            start=as_vector(start),
            end=as_vector(np.add(start, along)),
            opening_deg=opening_deg,
        )
        for start in starts
    )
