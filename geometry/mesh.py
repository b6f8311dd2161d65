"""A part's mesh: points, tetrahedra, and the boundary triangles of every pad."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.pad import FloatArray

IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartMesh:
    """Straight-sided tetrahedra of one part, in the part's frame.

    Parameters
    ----------
    points : (n_point, 3) [mm]
    tetrahedra : (n_tet, 4), positive volume
    pads : pad name to (n_triangle, 3) point numbers of the boundary triangles on it
    """

    points: FloatArray
    tetrahedra: IntArray
    pads: dict[str, IntArray]

    @property
    def volume(self) -> float:
        """Sum over the tetrahedra. [mm³]."""
        corner = self.points[self.tetrahedra]
        edges = corner[:, 1:] - corner[:, :1]
        return float(np.linalg.det(edges).sum() / 6.0)
