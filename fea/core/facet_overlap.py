"""Where the facets of two meshes overlap on a pad, so that integrals over it are exact.

Points of the pad's plane are complex numbers, first + i second [mm].
"""

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray
from skfem import MeshTet
from skfem.quadrature import get_quadrature
from skfem.refdom import RefTri

from fea.core.mesh_numbers import facet_numbers
from geometry.errors import SolveError
from geometry.mesh import IntArray
from geometry.pad import FloatArray, Pad

ComplexArray = NDArray[np.complex128]

# Products of two quadratic displacements are of this degree.
PRODUCT_DEGREE = 4

AREA_TOLERANCE = 1e-6  # relative; pads are imprinted exactly, so only round-off is left


@dataclass(frozen=True, slots=True, kw_only=True)
class PadFacets:
    """One side of a pad: flat triangles that carry six nodes each.

    Parameters
    ----------
    nodes : (n_facet, 6) corners, then middles of the edges 0-1, 1-2, 0-2
    corners : (n_facet, 3) in the pad's plane
    """

    nodes: IntArray
    corners: ComplexArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """Triangles each of which lies in one facet of every side.

    Parameters
    ----------
    facets : (n_side, n_piece) which facet of each side
    corners : (n_piece, 3) in the pad's plane
    """

    facets: IntArray
    corners: ComplexArray


def facets_on(
    pad: Pad, mesh: MeshTet, triangles: IntArray, origin: FloatArray, first_node: int
) -> PadFacets:
    """Take a pad's facets out of a part's mesh.

    Parameters
    ----------
    pad : in the machine frame
    mesh : of the part, in its own frame
    triangles : (n_facet, 3) points of the mesh
    origin : (3,) [mm] of the part's frame
    first_node : number of the part's first node among all parts' nodes
    """
    facets = facet_numbers(mesh, triangles)
    points = mesh.facets[:, facets].T
    edges = mesh.nvertices + mesh.f2e[:, facets].T
    xi, eta, _ = np.moveaxis(pad.local(mesh.p.T[points] + origin), -1, 0)
    return PadFacets(
        nodes=first_node + np.hstack([points, edges]).astype(np.int64),
        corners=xi + 1j * eta,
    )


def pieces_of(pad: Pad, sides: list[PadFacets]) -> Pieces:
    """Cut a pad so that no piece crosses an edge of a facet of its one or two sides.

    Raises
    ------
    SolveError
        The pieces do not fill the pad.
    """
    if len(sides) == 1:
        facets = np.arange(len(sides[0].corners))[None]
        pieces = Pieces(facets=facets, corners=sides[0].corners)
    else:
        pieces = _overlaps(*sides)
    area = np.abs(_twice_area(pieces.corners)).sum() / 2.0
    if abs(area - pad.area) > AREA_TOLERANCE * pad.area:
        message = f"pad {pad.name}: facets overlap on {area:g} of {pad.area:g} mm²"
        raise SolveError(message)
    return pieces


def jump_stiffness(
    sides: list[PadFacets], pieces: Pieces, n_node: int
) -> sp.csr_matrix:
    """Integral of (jump of phi_i)(jump of phi_j) over the pad. (n_node, n_node) [mm²].

    The jump is the first side's displacement less the second's, or the only one's.
    """
    reference, weights = get_quadrature(RefTri, PRODUCT_DEGREE)
    a, b, c = (corner[:, None] for corner in pieces.corners.T)
    points = a + (b - a) * reference[0] + (c - a) * reference[1]
    areas = np.abs(_twice_area(pieces.corners))[:, None] * weights
    jumps = [
        _interpolation(side, facets, points, n_node)
        for side, facets in zip(sides, pieces.facets, strict=True)
    ]
    jump = jumps[0] if len(jumps) == 1 else jumps[0] - jumps[1]
    return sp.csr_matrix(jump.T @ sp.diags_array(areas.ravel()) @ jump)


def _overlaps(one: PadFacets, other: PadFacets) -> Pieces:
    found: list[tuple[complex, complex, complex]] = []
    pairs: list[tuple[int, int]] = []
    mine, theirs = (_anticlockwise(side.corners).tolist() for side in (one, other))
    for i, j in np.argwhere(_boxes_meet(one.corners, other.corners)).tolist():
        polygon = _common(mine[i], theirs[j])
        fan = [(polygon[0], *polygon[k : k + 2]) for k in range(1, len(polygon) - 1)]
        found += fan  # type: ignore[arg-type]
        pairs += [(i, j)] * len(fan)
    return Pieces(facets=np.array(pairs).T, corners=np.array(found))


def _common(polygon: list[complex], triangle: list[complex]) -> list[complex]:
    """Part of a polygon that lies in an anticlockwise triangle; empty if none."""
    for start, end in zip(triangle, triangle[1:] + triangle[:1], strict=True):
        sides = [((end - start).conjugate() * (p - start)).imag for p in polygon]
        kept = []
        for k, (p, s) in enumerate(zip(polygon, sides, strict=True)):
            before = sides[k - 1]
            if (s < 0.0) != (before < 0.0):
                kept.append(p + (polygon[k - 1] - p) * s / (s - before))
            if s >= 0.0:
                kept.append(p)
        polygon = kept
    return polygon


def _boxes_meet(one: ComplexArray, other: ComplexArray) -> NDArray[np.bool_]:
    """Which facets' bounding boxes overlap. (n, 3) and (m, 3) to (n, m)."""
    meet = np.ones((len(one), len(other)), dtype=bool)
    for axis in (np.real, np.imag):
        low, high = axis(one).min(axis=1), axis(one).max(axis=1)
        meet &= low[:, None] < axis(other).max(axis=1)
        meet &= high[:, None] > axis(other).min(axis=1)
    return meet


def _anticlockwise(corners: ComplexArray) -> ComplexArray:
    turned = _twice_area(corners) < 0.0
    return np.where(turned[:, None], corners[:, ::-1], corners)


def _twice_area(corners: ComplexArray) -> FloatArray:
    a, b, c = corners.T
    return np.asarray(_cross(b - a, c - a))


def _cross(one: ComplexArray, other: ComplexArray) -> FloatArray:
    return np.asarray((one.conjugate() * other).imag)


def _interpolation(
    side: PadFacets, facets: IntArray, points: ComplexArray, n_node: int
) -> sp.csr_matrix:
    """All shape functions. (n_piece, n_point) to (n_piece n_point, n_node)."""
    a, b, c = (corner[:, None] for corner in side.corners[facets].T)
    whole = _cross(b - a, c - a)
    l1, l2 = _cross(points - a, c - a) / whole, _cross(b - a, points - a) / whole
    l0 = 1.0 - l1 - l2
    corners = [part * (2.0 * part - 1.0) for part in (l0, l1, l2)]
    middles = [4.0 * l0 * l1, 4.0 * l1 * l2, 4.0 * l0 * l2]
    values = np.stack(corners + middles, axis=-1)
    columns = np.broadcast_to(side.nodes[facets][:, None, :], values.shape)
    start = np.arange(0, values.size + 1, values.shape[-1])
    return sp.csr_matrix(
        (values.ravel(), columns.ravel(), start), shape=(points.size, n_node)
    )
