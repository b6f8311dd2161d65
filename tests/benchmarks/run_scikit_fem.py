"""scikit-fem's stock forms on a welded stack, and MKL's PARDISO on both cores."""

from pathlib import Path

import numpy as np
import scipy.sparse as sp
from skfem import Basis, BilinearForm, ElementTetP2, ElementVector, MeshTet
from skfem.helpers import dot
from skfem.models.elasticity import lame_parameters, linear_elasticity

from tests.benchmarks.contest import (
    DENSITY_T_MM3,
    LEVEL,
    MODULUS_MPA,
    POISSONS_RATIO,
    Answer,
    design,
    enter,
    lowest_frequencies,
    pardiso,
    tip_points,
)

SOLVER = "MKL PARDISO, symmetric"


def statics(path: Path) -> Answer:
    """Return the compliance of the tip. (3, 3) [mm/N]."""
    basis, free = _basis(path, order=2)
    loads = _loads(path, basis)[free]
    return Answer(loads.T @ pardiso(_stiffness(basis, free))(loads), SOLVER)


def modes(path: Path) -> Answer:
    """Return the lowest natural frequencies. [Hz]."""
    basis, free = _basis(path, order=4)
    stiffness = _stiffness(basis, free)
    found = lowest_frequencies(stiffness, _mass(basis, free), pardiso(stiffness))
    return Answer(found, SOLVER + ", Lanczos")


def whole_design(path: Path, newton: int, tangents: int) -> Answer:
    """Return compliance and frequencies as `design` does."""

    def system() -> tuple[sp.csr_matrix, sp.csr_matrix, np.ndarray]:
        basis, free = _basis(path, order=4)
        loads = _loads(path, basis)[free]
        return _stiffness(basis, free), _mass(basis, free), loads

    return design(system, newton, tangents)


def _loads(path: Path, basis: Basis) -> np.ndarray:
    """Unit forces spread over the tip's points. (n, 3)."""
    near = tip_points(path)
    loads = np.zeros((basis.N, 3))
    for c in range(3):
        loads[basis.nodal_dofs[c, near], c] = 1.0 / len(near)
    return loads


def _basis(path: Path, order: int) -> tuple[Basis, np.ndarray]:
    mesh = MeshTet.load(path)
    basis = Basis(mesh, ElementVector(ElementTetP2()), intorder=order)
    level = mesh.p[2].min() + LEVEL
    return basis, basis.complement_dofs(basis.get_dofs(lambda x: x[2] < level))


def _stiffness(basis: Basis, free: np.ndarray) -> sp.csr_matrix:
    form = linear_elasticity(*lame_parameters(MODULUS_MPA, POISSONS_RATIO))
    return form.assemble(basis)[free][:, free]


def _mass(basis: Basis, free: np.ndarray) -> sp.csr_matrix:
    @BilinearForm
    def momentum(u, v, _):
        return DENSITY_T_MM3 * dot(u, v)

    return momentum.assemble(basis)[free][:, free]


if __name__ == "__main__":
    enter({"statics": statics, "modes": modes, "design": whole_design})
