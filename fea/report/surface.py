"""The outer skin of a part, extracted once for all pictures."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fea.analysis.result import PartField
from fea.report.number import nice_below
from geometry.pad import FloatArray
from geometry.units import UM_PER_MM

DRAWN_MOVEMENT = 0.1
"""The largest displacement is drawn at most this fraction of the stack's size."""
FACES = np.array([[1, 2, 3], [0, 3, 2], [0, 1, 3], [0, 2, 1]])
"""Corner numbers of a tetrahedron's faces, seen anticlockwise from outside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """Skin of one part.

    Parameters
    ----------
    name : of the part
    points : (n_point, 3) [mm], undeformed
    triangles : (n_triangle, 3)
    displacement : (n_point, 3) [mm]
    """

    name: str
    points: FloatArray
    triangles: NDArray[np.int64]
    displacement: FloatArray

    def deformed(self, scale: float) -> FloatArray:
        """Points with the displacement drawn `scale` times too large. [mm]."""
        return self.points + scale * self.displacement

    @property
    def movement_um(self) -> FloatArray:
        """How far each point moves. (n_point,) [um]."""
        return np.asarray(np.linalg.norm(self.displacement, axis=1) * UM_PER_MM)


def surface_of(field: PartField) -> Surface:
    """Triangles that belong to one tetrahedron only, and the points on them."""
    faces = field.tetrahedra[:, FACES].reshape(-1, 3)
    low, middle, high = np.sort(faces, axis=1).T
    count = len(field.points)
    key = (low * count + middle) * count + high
    _, first, times = np.unique(key, return_index=True, return_counts=True)
    used, triangles = np.unique(faces[first[times == 1]], return_inverse=True)
    return Surface(
        name=field.name,
        points=field.points[used],
        triangles=triangles.reshape(-1, 3),
        displacement=field.displacement[used],
    )


def drawing_scale(movement: float, size: float) -> float:
    """Factor by which displacements are drawn larger: a round number.

    Parameters
    ----------
    movement : largest displacement in the picture [mm]
    size : of what is drawn [mm]
    """
    return nice_below(DRAWN_MOVEMENT * size / movement) if movement > 0.0 else 1.0
