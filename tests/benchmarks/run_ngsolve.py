"""NGSolve on a welded stack: its sparse Cholesky factor and all its threads.

Its documentation recommends this for a positive definite system that memory holds;
beyond, conjugate gradients with its BDDC, edges left out of the wire basket (with them
its memory is the factor's). Where both fit BDDC takes two to four times as long.
"""

from pathlib import Path
from typing import Any

import numpy as np
import scipy.sparse as sp
from netgen.read_gmsh import ReadGmsh
from ngsolve import (
    BilinearForm,
    Grad,
    InnerProduct,
    Mesh,
    Preconditioner,
    Sym,
    TaskManager,
    VectorH1,
    div,
    dx,
)
from ngsolve.krylovspace import CGSolver

from tests.benchmarks.contest import (
    DENSITY_T_MM3,
    MODULUS_MPA,
    POISSONS_RATIO,
    Answer,
    Solve,
    enter,
    lowest_frequencies,
    tip_points,
)

SOLVER = "NGSolve's sparse Cholesky"
LARGE_SOLVER = "NGSolve's BDDC"

# Above, the factor does not fit in 16 GB.
LARGE = 600_000
TOLERANCE = 1e-8


def statics(path: Path) -> Answer:
    """Return the compliance of the tip. (3, 3) [mm/N]."""
    with TaskManager():
        space, stiffness, *_ = _system(path, inertia=False)
        near = tip_points(path)
        loads = np.zeros((space.ndof, 3))
        for c in range(3):
            loads[near + c * (space.ndof // 3), c] = 1.0 / len(near)
        solve = _solver(space, stiffness)
        found = np.column_stack([solve(load) for load in loads.T])
    used = SOLVER if space.ndof < LARGE else LARGE_SOLVER
    return Answer(loads.T @ found, used)


def modes(path: Path) -> Answer:
    """Return the lowest natural frequencies. [Hz]."""
    with TaskManager():
        space, stiffness, mass = _system(path, inertia=True)
        solve = _solver(space, stiffness)
        free = np.flatnonzero(list(space.FreeDofs()))
        whole = np.zeros(space.ndof)

        def on_free(load: np.ndarray) -> np.ndarray:
            whole[free] = load.ravel()
            return solve(whole)[free]

        forms = (stiffness[0], mass)
        k, m = (_scipy(form, space.ndof)[free][:, free] for form in forms)
        found = lowest_frequencies(k, m, on_free)
    used = SOLVER if space.ndof < LARGE else LARGE_SOLVER
    return Answer(found, used + ", Lanczos")


def _system(path: Path, *, inertia: bool) -> tuple[Any, Any, Any]:
    mesh = Mesh(ReadGmsh(str(path)))
    space = VectorH1(mesh, order=2, dirichlet="base", wb_withedges=False)
    u, v = space.TnT()
    shear = MODULUS_MPA / (2 * (1 + POISSONS_RATIO))
    lame = 2 * shear * POISSONS_RATIO / (1 - 2 * POISSONS_RATIO)
    strain, other = Sym(Grad(u)), Sym(Grad(v))
    stiffness = BilinearForm(space, symmetric=True)
    stiffness += (2 * shear * InnerProduct(strain, other) + lame * div(u) * div(v)) * dx
    # Kept with the form, because it is made while that is assembled.
    kept = Preconditioner(stiffness, "bddc") if space.ndof >= LARGE else None
    stiffness.Assemble()
    if not inertia:
        return space, (stiffness, kept), None
    mass = BilinearForm(space, symmetric=True)
    mass += DENSITY_T_MM3 * InnerProduct(u, v) * dx
    mass.Assemble()
    return space, (stiffness, kept), mass


def _solver(space: Any, system: tuple[Any, Any]) -> Solve:
    stiffness, kept = system
    if kept is None:
        inverse = stiffness.mat.Inverse(space.FreeDofs(), inverse="sparsecholesky")
    else:
        inverse = CGSolver(stiffness.mat, kept.mat, tol=TOLERANCE, maxiter=2000)
    load, found = stiffness.mat.CreateColVector(), stiffness.mat.CreateColVector()

    def solve(given: np.ndarray) -> np.ndarray:
        load.FV().NumPy()[:] = given
        found.data = inverse * load
        return found.FV().NumPy().copy()

    return solve


def _scipy(form: Any, size: int) -> sp.csr_matrix:
    """Return the matrix, of which the library keeps the lower triangle."""
    rows, columns, values = form.mat.COO()
    lower = sp.csr_matrix((values, (rows, columns)), (size, size))
    if sp.triu(lower, 1).nnz:
        return lower
    return sp.csr_matrix(lower + sp.tril(lower, -1).T)


if __name__ == "__main__":
    enter({"statics": statics, "modes": modes})
