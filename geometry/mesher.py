"""From a part's shape and its pads to tetrahedra."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from geometry.errors import MeshError
from geometry.facets import boundary_triangles, pad_facets
from geometry.imprint import imprint
from geometry.kernel import GmshError, gmsh_model
from geometry.mesh import IntArray, PartMesh
from geometry.mesh_size import grade, require_size
from geometry.pad import FloatArray, Pad
from geometry.reentrant import re_entrant_curves
from geometry.shape import Shape
from geometry.solid import turn

# Gmsh's numbers for its tetrahedral algorithms, each with a factor on the size: what
# one of them cannot fill, another mostly can. Delaunay first, it obeys sizes best.
DELAUNAY, FRONTAL, PARALLEL_DELAUNAY = 1, 4, 10
ATTEMPTS = (
    (DELAUNAY, 1.0),
    (PARALLEL_DELAUNAY, 1.0),
    (DELAUNAY, 0.93),
    (FRONTAL, 0.97),
    (PARALLEL_DELAUNAY, 0.87),
)

# Gmsh's number for a tetrahedron with four points.
TETRAHEDRON = 4

# Inscribed over circumscribed radius, 1 for a regular tetrahedron: the worst of a usual
# mesh has 0.15 to 0.35. Elements of 0.001, which come up by chance between two points
# of a bore's wall and the two straight above, keep an iterative solver from settling.
LEAST_SHAPE = 0.05

# A mesh's volume may miss the solid's by what straight sides leave of a bore; one with
# a hole in it misses more. Six-sided, a bore of half the part's width leaves 0.04.
VOLUME_TOLERANCE = 0.04


def mesh_part(
    shape: Shape,
    pads: Sequence[Pad],
    size: float,
    *,
    name: str,
    rotation: FloatArray | None = None,
    steps: int = 0,
) -> PartMesh:
    """Mesh a part, with its pads imprinted in its faces.

    The same input gives the same mesh, to the bit.

    Parameters
    ----------
    shape : its dimensions
    pads : in the part's frame, names unique
    size : edge length far from everything; the shape's own factor comes on top [mm]
    name : of the part, for messages
    rotation : (3, 3); turns part and pads about the origin before they are meshed
    steps : of refinement, each of which makes everything finer, inner corners most

    Returns
    -------
    Mesh in the part's frame, or in the turned one.
    """
    require_size(size)
    if rotation is not None:
        pads = [pad.turned(rotation) for pad in pads]
    reasons = []
    for algorithm, factor in ATTEMPTS:
        wanted = size * shape.size_factor * factor
        try:
            points, tetrahedra = _fill(
                shape, pads, (wanted, steps), name, rotation, algorithm
            )
        except GmshError as failure:
            reasons.append(str(failure))
            continue
        facets = pad_facets(name, points, boundary_triangles(tetrahedra), pads)
        return PartMesh(points=points, tetrahedra=tetrahedra, pads=facets)
    message = (
        f"{name}: no mesh of size {size:g} mm could be made, try another size; "
        f"{'; '.join(dict.fromkeys(reasons))}"
    )
    raise MeshError(message)


def _fill(
    shape: Shape,
    pads: Sequence[Pad],
    fineness: tuple[float, int],
    name: str,
    rotation: FloatArray | None,
    algorithm: int,
) -> tuple[FloatArray, IntArray]:
    """Points and tetrahedra of a part by one of Gmsh's algorithms.

    `fineness` is the size [mm] and the steps of refinement.
    """
    with gmsh_model(name) as gmsh:
        volume = shape.build()
        if rotation is not None:
            turn(volume, rotation)
        volume, surfaces = imprint(name, volume, pads)
        outlined = list(zip(pads, surfaces, strict=True))
        size, steps = fineness
        grade(size, re_entrant_curves(volume), outlined, steps)
        gmsh.option.setNumber("Mesh.Algorithm3D", algorithm)
        gmsh.model.mesh.generate(3)
        if _worst_shape(gmsh) < LEAST_SHAPE:
            gmsh.model.mesh.optimize("Netgen")
        points, tetrahedra = _arrays(gmsh)
    corners = points[tetrahedra]
    volumes = np.linalg.det(corners[:, 1:] - corners[:, :1]) / 6.0
    missing = abs(volumes.sum() / shape.volume - 1.0)
    if len(volumes) == 0 or volumes.min() <= 0.0 or missing > VOLUME_TOLERANCE:
        message = f"{name}: the mesh has holes or overlaps"
        raise GmshError(message)
    return points, tetrahedra


def _worst_shape(gmsh: Any) -> float:
    """Least ratio of radii of all tetrahedra; 1 if there are none."""
    tags, _ = gmsh.model.mesh.getElementsByType(TETRAHEDRON)
    shapes = gmsh.model.mesh.getElementQualities(tags, "gamma")
    return float(np.min(shapes, initial=1.0))


def _arrays(gmsh: Any) -> tuple[FloatArray, IntArray]:
    """Points that tetrahedra use, numbered without gaps, and the tetrahedra."""
    tags, coordinates, _ = gmsh.model.mesh.getNodes()
    _, corners = gmsh.model.mesh.getElementsByType(TETRAHEDRON)
    used, tetrahedra = np.unique(corners, return_inverse=True)
    order = np.argsort(tags)
    rows = order[np.searchsorted(tags, used, sorter=order)]
    points = np.asarray(coordinates, dtype=np.float64).reshape(-1, 3)[rows]
    return points, tetrahedra.reshape(-1, 4).astype(np.int64)
