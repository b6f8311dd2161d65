"""The outer skin of a part, extracted once for all pictures."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fea.analysis.result import PartField
from fea.core.surface_point import skin_triangles
from fea.report.number import nice_below
from geometry.pad import FloatArray
from geometry.units import UM_PER_MM

DRAWN_MOVEMENT = 0.1
"""The largest displacement is drawn at most this fraction of the stack's size."""


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
    """Skin of a part that moves."""
    return skin_of(field.name, field.points, field.tetrahedra, field.displacement)


def skin_of(
    name: str,
    points: FloatArray,
    tetrahedra: NDArray[np.int64],
    displacement: FloatArray | None = None,
) -> Surface:
    """Triangles of the skin, and the points on them; at rest without displacement."""
    skin = skin_triangles(tetrahedra)
    used, triangles = np.unique(skin, return_inverse=True)
    at_rest = np.zeros((len(used), 3))
    return Surface(
        name=name,
        points=points[used],
        triangles=triangles.reshape(-1, 3),
        displacement=at_rest if displacement is None else displacement[used],
    )


def drawing_scale(movement: float, size: float) -> float:
    """Factor by which displacements are drawn larger: a round number.

    Parameters
    ----------
    movement : largest displacement in the picture [mm]
    size : of what is drawn [mm]
    """
    return nice_below(DRAWN_MOVEMENT * size / movement) if movement > 0.0 else 1.0
