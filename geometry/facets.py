"""The boundary triangles of a mesh that lie on a pad."""

from collections.abc import Sequence

import numpy as np

from geometry.errors import MeshError
from geometry.mesh import IntArray
from geometry.pad import FloatArray, Pad

# The faces of a tetrahedron of positive volume, seen counter-clockwise from outside.
FACES = ((0, 2, 1), (0, 1, 3), (1, 2, 3), (0, 3, 2))

# Pads are imprinted by straight lines in flat faces, so only rounding remains.
AREA_TOLERANCE = 1e-6


def boundary_triangles(tetrahedra: IntArray) -> IntArray:
    """Faces that belong to one tetrahedron only, outward. (n, 4) to (n_triangle, 3)."""
    faces = tetrahedra[:, FACES].reshape(-1, 3)
    _, first, count = np.unique(
        np.sort(faces, axis=1), axis=0, return_index=True, return_counts=True
    )
    return np.asarray(faces[np.sort(first[count == 1])])


def pad_facets(
    name: str, points: FloatArray, triangles: IntArray, pads: Sequence[Pad]
) -> dict[str, IntArray]:
    """Triangles on each pad, which together must be as large as the pad.

    Parameters
    ----------
    name : of the part, for messages
    points : (n_point, 3) [mm]
    triangles : (n_triangle, 3), the part's whole boundary, outward
    pads : in the same frame as the points

    Returns
    -------
    Pad name to (n_triangle, 3) point numbers, outward.
    """
    found = {}
    corners = points[triangles]
    for pad in pads:
        on_pad = pad.contains(corners).all(axis=1) & pad.contains(corners.mean(axis=1))
        area = _area(corners[on_pad])
        if abs(area - pad.area) > AREA_TOLERANCE * pad.area:
            message = (
                f"{name}: of pad {pad.name}, {pad.area:.6g} mm², only {area:.6g} mm² "
                "lie on the surface: it hangs over the edge of its face or over a "
                "hole, or is not in the face at all; move it or make it smaller"
            )
            raise MeshError(message)
        found[pad.name] = triangles[on_pad]
    return found


def _area(corners: FloatArray) -> float:
    """Area of triangles. (n, 3, 3) to [mm²]."""
    sides = corners[:, 1:] - corners[:, :1]
    return float(np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1).sum() / 2.0)
