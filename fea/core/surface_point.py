"""A point on a part's surface: how it moves, where no pad was made for it."""

from dataclasses import dataclass

import numpy as np

from fea.core.stack import Part, Stack
from geometry.mesh import IntArray
from geometry.pad import FloatArray

FACES = np.array([[1, 2, 3], [0, 3, 2], [0, 1, 3], [0, 2, 1]])
"""Corner numbers of a tetrahedron's faces, seen anticlockwise from outside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfacePoint:
    """The point of a part's meshed surface that lies nearest to a wanted one.

    Parameters
    ----------
    corners : (3,) numbers of the part's points, at the corners of its triangle
    weights : (3,) of them
    distance : from the wanted point [mm]
    """

    corners: IntArray
    weights: FloatArray
    distance: float


def skin_triangles(tetrahedra: IntArray) -> IntArray:
    """Triangles that belong to one tetrahedron only. (n_tet, 4) to (n, 3)."""
    faces = tetrahedra[:, FACES].reshape(-1, 3)
    low, middle, high = np.sort(faces, axis=1).T
    count = int(tetrahedra.max()) + 1
    key = (low * count + middle) * count + high
    _, first, times = np.unique(key, return_index=True, return_counts=True)
    return np.asarray(faces[first[times == 1]])


def surface_point(part: Part, point: FloatArray) -> SurfacePoint:
    """Find the point of a part's surface nearest to a point (3,) of the machine [mm].

    A point off the surface is dropped onto every triangle's plane and then pulled to
    the triangle by its weights, which is exact where it drops onto one.
    """
    reduced = part.reduced
    triangles = skin_triangles(reduced.tetrahedra)
    corners = reduced.points[triangles]
    weights = _weights(corners, np.asarray(point) - part.origin)
    foot = np.einsum("tc,tci->ti", weights, corners) + part.origin
    away = np.linalg.norm(foot - point, axis=1)
    best = int(away.argmin())
    return SurfacePoint(
        corners=triangles[best], weights=weights[best], distance=float(away[best])
    )


def motion_rows(stack: Stack, name: str, point: FloatArray) -> FloatArray:
    """Rows that give a surface point's displacement in the machine frame. (3, n).

    The field of the corner nodes is taken to run straight between them. Under a force
    at the point itself what the surface gives right there is left out: no basis vector
    was made for it.
    """
    part = next(each for each in stack.parts if each.name == name)
    at = surface_point(part, point)
    rows = np.zeros((3, stack.size))
    shapes = part.reduced.shapes[at.corners].astype(float)
    rows[:, stack.slices[name]] = np.einsum("c,cin->in", at.weights, shapes)
    return rows


def _weights(corners: FloatArray, point: FloatArray) -> FloatArray:
    """Weights of each triangle's corners at its point nearest to a point. (t, 3)."""
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    sides = np.stack([first, second], axis=1)
    gram = np.einsum("tai,tbi->tab", sides, sides)
    load = np.einsum("tai,ti->ta", sides, point - corners[:, 0])
    two = np.linalg.solve(gram, load[:, :, None])[:, :, 0]
    weights = np.column_stack([1.0 - two.sum(axis=1), two]).clip(0.0)
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))
