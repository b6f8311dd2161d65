"""NGSolve on a welded stack: its sparse Cholesky factor and all its threads.

Its documentation recommends this for a positive definite system that memory holds. Of
its preconditioners BDDC was tried too, with and without edges in the wire basket: two
to four times as long.
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
    Sym,
    TaskManager,
    VectorH1,
    div,
    dx,
)

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


def statics(path: Path) -> Answer:
    """Return the compliance of the tip. (3, 3) [mm/N]."""
    with TaskManager():
        space, stiffness, _ = _system(path, inertia=False)
        near = tip_points(path)
        loads = np.zeros((space.ndof, 3))
        for c in range(3):
            loads[near + c * (space.ndof // 3), c] = 1.0 / len(near)
        solve = _factored(space, stiffness)
        found = np.column_stack([solve(load) for load in loads.T])
    return loads.T @ found, SOLVER


def modes(path: Path) -> Answer:
    """Return the lowest natural frequencies. [Hz]."""
    with TaskManager():
        space, stiffness, mass = _system(path, inertia=True)
        solve = _factored(space, stiffness)
        free = np.flatnonzero(list(space.FreeDofs()))
        whole = np.zeros(space.ndof)

        def on_free(load: np.ndarray) -> np.ndarray:
            whole[free] = load.ravel()
            return solve(whole)[free]

        k, m = (_scipy(form, space.ndof)[free][:, free] for form in (stiffness, mass))
        found = lowest_frequencies(k, m, on_free)
    return found, SOLVER + ", Lanczos"


def _system(path: Path, *, inertia: bool) -> tuple[Any, Any, Any]:
    mesh = Mesh(ReadGmsh(str(path)))
    space = VectorH1(mesh, order=2, dirichlet="base")
    u, v = space.TnT()
    shear = MODULUS_MPA / (2 * (1 + POISSONS_RATIO))
    lame = 2 * shear * POISSONS_RATIO / (1 - 2 * POISSONS_RATIO)
    strain, other = Sym(Grad(u)), Sym(Grad(v))
    stiffness = BilinearForm(space, symmetric=True)
    stiffness += (2 * shear * InnerProduct(strain, other) + lame * div(u) * div(v)) * dx
    stiffness.Assemble()
    if not inertia:
        return space, stiffness, None
    mass = BilinearForm(space, symmetric=True)
    mass += DENSITY_T_MM3 * InnerProduct(u, v) * dx
    mass.Assemble()
    return space, stiffness, mass


def _factored(space: Any, stiffness: Any) -> Solve:
    inverse = stiffness.mat.Inverse(space.FreeDofs(), inverse="sparsecholesky")
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
