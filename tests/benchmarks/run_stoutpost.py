"""Stoutpost on a welded stack: compiled assembly, conjugate gradients on two levels."""

from pathlib import Path

import meshio
import numpy as np
import scipy.sparse as sp
from skfem import MeshTet

from fea.core.block_matrix import restricted
from fea.core.elasticity import (
    corner_interpolation,
    inertia,
    node_points,
    quadratic_mesh,
    stiffness_blocks,
)
from fea.core.factor import NO_UNKNOWNS, Factor, engine_name
from fea.core.lowest_modes import lowest_modes
from fea.core.multigrid import plan_iterative
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
    stiffness, linear, free = _statics(path)
    loads = _tip_loads(path, free)
    solver = solver_for(stiffness, linear, NO_UNKNOWNS, loads=3)
    return Answer(loads.T @ solver.solve(loads), SOLVER)


@on_one_blas_thread
def modes(path: Path) -> Answer:
    """Return the lowest natural frequencies. [Hz]."""
    stiffness, mass, linear, _ = _system(_mesh(path))
    solver = plan_iterative(stiffness, linear, NO_UNKNOWNS).make()
    squared = lowest_modes(stiffness, lambda u: inertia(mass, u), solver, MODES)
    found = np.sqrt(squared) / (2.0 * np.pi)
    return Answer(found, SOLVER + ", block conjugate gradients")


@on_one_blas_thread
def factor(path: Path) -> Answer:
    """Return the compliance of the tip by a factor. (3, 3) [mm/N]."""
    stiffness, _, _, free = _system(_mesh(path))
    loads = _tip_loads(path, free)
    return Answer(loads.T @ Factor(stiffness.tocsr()).solve(loads), engine_name())


def _statics(path: Path) -> tuple[sp.bsr_matrix, sp.csr_matrix, np.ndarray]:
    """Let go of the mass, which a load at rest does not need."""
    stiffness, _, linear, free = _system(_mesh(path))
    return stiffness, linear, free


def _tip_loads(path: Path, free: np.ndarray) -> np.ndarray:
    """Unit forces spread over the tip's points, on what is free. (n_dof, 3)."""
    near = tip_points(path)
    loads = np.zeros((len(free), 3, 3))
    loads[near] = np.eye(3) / len(near)
    return loads[free].reshape(-1, 3)


def _mesh(path: Path) -> MeshTet:
    read = meshio.read(path)
    tetrahedra = read.cells_dict["tetra"].astype(np.int64)
    return quadratic_mesh(PartMesh(points=read.points, tetrahedra=tetrahedra, pads={}))


def _system(
    mesh: MeshTet,
) -> tuple[sp.bsr_matrix, sp.csr_matrix, sp.csr_matrix, np.ndarray]:
    """Stiffness [N/mm] and nodal mass [t] of what is free, and which nodes are."""
    stiffness, mass = stiffness_blocks(mesh, POISSONS_RATIO)
    height = node_points(mesh)[:, 2]
    free = height > height.min() + LEVEL
    stiffness = restricted(stiffness, free)
    stiffness.data *= MODULUS_MPA
    linear = corner_interpolation(mesh)[free][:, free[: mesh.nvertices]]
    return stiffness, DENSITY_T_MM3 * mass[free][:, free], linear, free


def _warm_up() -> None:
    """Load the compiled loops, which belongs to the imports."""
    mesh = MeshTet().refined(2)
    stiffness, _, linear, free = _system(mesh)
    solver = plan_iterative(stiffness, linear, NO_UNKNOWNS).make()
    solver.solve(np.ones((3 * int(free.sum()), 1)))


if __name__ == "__main__":
    _warm_up()
    enter({"statics": statics, "modes": modes, "factor": factor})
