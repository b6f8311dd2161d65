"""Stoutpost on a welded stack: conjugate gradients on two levels, nothing assembled."""

from pathlib import Path

import meshio
import numpy as np
from skfem import MeshTet

from fea.core.elasticity import node_points, quadratic_mesh
from fea.core.factor import NO_UNKNOWNS, Factor, engine_name, plan_direct
from fea.core.lowest_modes import lowest_modes
from fea.core.multigrid import plan_iterative
from fea.core.solid import Solid
from fea.core.solver import solver_for
from fea.core.threads import on_one_blas_thread
from geometry.mesh import PartMesh
from tests.benchmarks.contest import (
    DENSITY_T_MM3,
    LEVEL,
    MODES,
    MODULUS_MPA,
    POISSONS_RATIO,
    Answer,
    enter,
    tip_points,
)

SOLVER = "conjugate gradients on two levels"


@on_one_blas_thread
def statics(path: Path) -> Answer:
    """Return the compliance of the tip. (3, 3) [mm/N]."""
    solid = _solid(_mesh(path))
    loads = _tip_loads(path, solid)
    moved = solver_for(solid, NO_UNKNOWNS, loads=3).solve(loads)
    return Answer(loads.T @ moved / MODULUS_MPA, SOLVER)


@on_one_blas_thread
def modes(path: Path) -> Answer:
    """Return the lowest natural frequencies. [Hz]."""
    solid = _solid(_mesh(path))
    solver = plan_iterative(solid, NO_UNKNOWNS).make()
    squared = lowest_modes(solver, solid.mass, MODES) * MODULUS_MPA / DENSITY_T_MM3
    return Answer(
        np.sqrt(squared) / (2.0 * np.pi), SOLVER + ", block conjugate gradients"
    )


@on_one_blas_thread
def factor(path: Path) -> Answer:
    """Return the compliance of the tip by a factor. (3, 3) [mm/N]."""
    solid = _solid(_mesh(path))
    loads = _tip_loads(path, solid)
    plan = plan_direct(solid.stiffness().tocsr(), solid.held_unknowns)
    return Answer(loads.T @ Factor(plan).solve(loads) / MODULUS_MPA, engine_name())


def _tip_loads(path: Path, solid: Solid) -> np.ndarray:
    """Unit forces spread over the tip's points. (n_dof, 3)."""
    near = tip_points(path)
    loads = np.zeros((solid.n_node, 3, 3))
    loads[near] = np.eye(3) / len(near)
    return loads.reshape(-1, 3)


def _mesh(path: Path) -> MeshTet:
    read = meshio.read(path)
    tetrahedra = read.cells_dict["tetra"].astype(np.int64)
    return quadratic_mesh(PartMesh(points=read.points, tetrahedra=tetrahedra, pads={}))


def _solid(mesh: MeshTet) -> Solid:
    """Return the mesh with its lowest face held."""
    height = node_points(mesh)[:, 2]
    return Solid(mesh, POISSONS_RATIO, held=height <= height.min() + LEVEL)


def _warm_up() -> None:
    """Load the compiled loops, which belongs to the imports."""
    solid = _solid(MeshTet().refined(2))
    solver = plan_iterative(solid, NO_UNKNOWNS).make()
    solver.solve(np.ones((3 * solid.n_node, 1)))


if __name__ == "__main__":
    _warm_up()
    enter({"statics": statics, "modes": modes, "factor": factor})
