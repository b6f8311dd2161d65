"""Meshes that every library reads: the demo stack welded into one solid, fixed below.

Parts are joined as they stand, so one conforming mesh holds them all: joints cannot be
expressed alike in every library, a weld can.
"""

import json
from dataclasses import dataclass
from pathlib import Path

import meshio
import numpy as np
from skfem import MeshTet

from fea.analysis.build import QUICK_CHANGE, plan_stack
from fea.case.schema import Case
from fea.core.plan import StackPlan
from geometry.facets import boundary_triangles
from geometry.kernel import gmsh_model
from geometry.mesher import TETRAHEDRON

# The tip's load is spread over the points this close to it. [mm]
TIP_RADIUS = 6.0

BASE, SKIN, SOLID = 2, 3, 1  # numbers of the physical groups


@dataclass(frozen=True, slots=True, kw_only=True)
class Welded:
    """A mesh file and what is in it."""

    path: Path
    unknowns: int


def weld(case: Case, size: float, folder: Path) -> Welded:
    """Mesh the quick-change stack as one solid, and write it with its load.

    Parameters
    ----------
    size : edge length everywhere [mm]
    folder : gets the mesh, and beside it the tip's points as JSON
    """
    points, tetrahedra = _fill(plan_stack(case, QUICK_CHANGE), size)
    skin = boundary_triangles(tetrahedra)
    base = np.all(points[skin][:, :, 2] < points[:, 2].min() + 1e-6, axis=1)
    groups = [np.full(len(tetrahedra), SOLID), np.where(base, BASE, SKIN)]
    mesh = meshio.Mesh(
        points,
        [("tetra", tetrahedra), ("triangle", skin)],
        cell_data={"gmsh:physical": groups, "gmsh:geometrical": groups},
        field_data={
            "solid": np.array([SOLID, 3]),
            "base": np.array([BASE, 2]),
            "skin": np.array([SKIN, 2]),
        },
    )
    path = folder / f"welded_{size:g}.msh"
    meshio.write(path, mesh, file_format="gmsh22", binary=False)
    tip = np.flatnonzero(np.linalg.norm(points, axis=1) < TIP_RADIUS)
    path.with_suffix(".json").write_text(json.dumps(tip.tolist()))
    topology = MeshTet(points.T.copy(), tetrahedra.T.copy())
    return Welded(path=path, unknowns=3 * (topology.nvertices + topology.nedges))


def _fill(plan: StackPlan, size: float) -> tuple[np.ndarray, np.ndarray]:
    with gmsh_model("welded") as gmsh:
        solids = []
        for part in plan.parts:
            solids.append((3, part.shape.build()))
            gmsh.model.occ.translate(solids[-1:], *part.origin)
        gmsh.model.occ.fuse(solids[:1], solids[1:])
        gmsh.model.occ.synchronize()
        for end in ("Min", "Max"):
            gmsh.option.setNumber(f"Mesh.MeshSize{end}", size)
        gmsh.model.mesh.generate(3)
        tags, coordinates, _ = gmsh.model.mesh.getNodes()
        _, corners = gmsh.model.mesh.getElementsByType(TETRAHEDRON)
    used, tetrahedra = np.unique(corners, return_inverse=True)
    place = np.zeros(int(tags.max()) + 1, dtype=np.int64)
    place[tags.astype(np.int64)] = np.arange(len(tags))
    points = coordinates.reshape(-1, 3)[place[used.astype(np.int64)]]
    return points, tetrahedra.reshape(-1, 4).astype(np.int64)
