"""Re-entrant edges: where the material goes around a corner and stress has a peak."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from geometry.pad import FloatArray

# Small against every wall, large against the kernel's tolerance of 1e-7. [mm]
RADIUS_MM = 0.02

# Sine of the angle between two faces below which they are one, with a line drawn in it.
SAME_FACE = 1e-6


def re_entrant_curves(volume: int) -> list[int]:
    """Curves of a volume in the current Gmsh model with more inside than outside.

    Each curve is looked at in its middle. That is enough for parts made of flat faces
    and bores, where the angle between two faces does not change along an edge.
    """
    import gmsh

    boundary = gmsh.model.getBoundary([(3, volume)], combined=False, oriented=False)
    skin = {tag for _, tag in boundary}
    flat = {face: _flat_normal(gmsh, face) for face in skin if _is_flat(gmsh, face)}
    edges = gmsh.model.getBoundary(boundary, combined=False, oriented=False)
    curves = sorted({tag for _, tag in edges})
    return [curve for curve in curves if _is_re_entrant(volume, curve, skin, flat)]


def _is_re_entrant(
    volume: int, curve: int, skin: set[int], flat: Mapping[int, FloatArray]
) -> bool:
    import gmsh

    faces, _ = gmsh.model.getAdjacencies(1, curve)
    faces = sorted(skin.intersection(faces.tolist()))
    if len(faces) != 2:
        return False  # the seam of a bore
    low, high = gmsh.model.getParametrizationBounds(1, curve)
    middle = [(low[0] + high[0]) / 2.0]
    centre = np.asarray(gmsh.model.getValue(1, curve, middle))
    slope = np.asarray(gmsh.model.getDerivative(1, curve, middle))
    one, other = (
        flat[face] if face in flat else _normal(gmsh, face, centre) for face in faces
    )
    if np.linalg.norm(np.cross(one, other)) < SAME_FACE:
        return False
    # Of the four sectors one is inside at an outward corner, three at a re-entrant one.
    first, second = _opposite_sectors(centre, slope, one, other)
    inside = gmsh.model.isInside(3, volume, first.ravel())
    if inside == 1:
        inside += gmsh.model.isInside(3, volume, second[0])
    return int(inside) == 2


def _is_flat(gmsh: Any, face: int) -> bool:
    return str(gmsh.model.getType(2, face)) == "Plane"


def _flat_normal(gmsh: Any, face: int) -> FloatArray:
    return np.asarray(gmsh.model.getNormal(face, [0.0, 0.0]))


def _normal(gmsh: Any, face: int, point: FloatArray) -> FloatArray:
    """Return the unit vector at right angles to a face, inward or outward. (3,)."""
    place = gmsh.model.getParametrization(2, face, point)
    return np.asarray(gmsh.model.getNormal(face, place))


def _opposite_sectors(
    centre: FloatArray, slope: FloatArray, one: FloatArray, other: FloatArray
) -> FloatArray:
    """Points in the middle of the sectors between two faces, by pairs. (2, 2, 3) [mm].

    The sectors of a pair lie across the edge from each other.
    """
    along = slope / np.linalg.norm(slope)
    first, second = np.cross(along, one), np.cross(along, other)
    between = np.array([first + second, first - second])
    between *= RADIUS_MM / np.linalg.norm(between, axis=1, keepdims=True)
    return np.asarray(centre + np.stack([between, -between], axis=1))
