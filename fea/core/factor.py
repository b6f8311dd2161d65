"""Sparse Cholesky-type factorisation behind one small interface."""

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from importlib.metadata import version
from typing import Any

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import splu

from geometry.errors import SolveError
from geometry.mesh import IntArray
from geometry.pad import FloatArray

RESIDUAL_LIMIT = 1e-8  # relative to the load
REFINEMENTS = 3
WITNESSES = 3  # random mixtures of the loads whose residual is looked at

# Loads solved at a time, by those who have many: blocks of this width stay below the
# size from which the allocator returns memory to the system after every use, which
# costs more than the solve.
BLOCK = 64

# What ordering a matrix takes on the way, and the allocator keeps, for each entry.
# Measured on blocks of 20 to 150 thousand unknowns: 25 to 50. [byte]
ORDERING_BYTES = 45

# Memory of SciPy's factor, which cannot be known before: so many bytes times
# unknowns^(4/3), the law of nested dissection in space. Measured on blocks of 6 to 28
# thousand unknowns: 480 to 640.
SCIPY_BYTES = 600

# Up to so many unknowns of solids minimum fill orders in half of the time of nested
# dissection, and the factor is as large; above, nested dissection leaves less to do.
# Measured on parts of 14 to 50 thousand unknowns; at 50 both take as long in all.
MINIMUM_FILL = 50_000

Solve = Callable[[FloatArray], FloatArray]


NO_UNKNOWNS = np.zeros(0, dtype=np.int64)


class Factor:
    """Factor of a symmetric positive definite matrix, for many right-hand sides.

    Parameters
    ----------
    matrix : (n, n) symmetric [N/mm], or what `plan_direct` made of it; one of single
        precision is factored so, which suffices for `once`

    Raises
    ------
    SolveError
        The matrix is singular to working precision.
    """

    def __init__(self, matrix: "sp.csr_matrix | DirectPlan") -> None:
        plan = matrix if isinstance(matrix, DirectPlan) else plan_direct(matrix)
        self._matrix, self._pinned = plan.matrix, plan.pinned
        self._random = np.random.default_rng(0)
        try:
            self._solve = _factorise(plan)
        except RuntimeError as error:
            size = plan.matrix.shape[0]
            message = f"a stiffness matrix of {size} unknowns is singular"
            raise SolveError(message) from error

    def once(self, loads: FloatArray) -> FloatArray:
        """Return displacements under loads as the factor gives them, unchecked."""
        return self._solve(self._on_free(loads))

    def solve(self, loads: FloatArray) -> FloatArray:
        """Return displacements under loads, refined until the residual is small.

        The residual is looked at for random mixtures of the loads, each load scaled to
        one: if the mixtures are right so is every load (Freivalds' check of a product),
        at a hundredth of the work.

        Parameters
        ----------
        loads : (n, n_load)

        Raises
        ------
        SolveError
            The residual stays above `RESIDUAL_LIMIT` times the loads.
        """
        loads = self._on_free(loads)
        found = self._solve(loads)
        worst = self._residual(loads, found)
        for _ in range(REFINEMENTS):
            if worst < RESIDUAL_LIMIT:
                return found
            found = found + self._solve(loads - self._matrix @ found)
            worst = self._residual(loads, found)
        message = (
            f"a solve left a relative residual of {worst:.1e} (allowed "
            f"{RESIDUAL_LIMIT}): the mesh holds badly shaped elements; change "
            "numerics.mesh_size a little"
        )
        raise SolveError(message)

    def _on_free(self, loads: FloatArray) -> FloatArray:
        """Return loads without those on the held unknowns."""
        if len(self._pinned) == 0:
            return loads
        loads = loads.copy()
        loads[self._pinned] = 0.0
        return loads

    def _residual(self, loads: FloatArray, found: FloatArray) -> float:
        size = np.sqrt(np.einsum("ij,ij->j", loads, loads)) + np.finfo(float).tiny
        mix = self._random.standard_normal((loads.shape[1], WITNESSES)) / size[:, None]
        wanted = loads @ mix
        left = wanted - self._matrix @ (found @ mix)
        return float(np.linalg.norm(left) / np.linalg.norm(wanted))


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectPlan:
    """A matrix that is analysed and not yet factored.

    Parameters
    ----------
    matrix : (n, n) symmetric
    pinned : unknowns that are held at zero, whatever loads them
    analysis : the solver's own, or None where it has none
    """

    matrix: sp.csr_matrix
    pinned: IntArray
    analysis: Any

    @property
    def peak_bytes(self) -> float:
        """Memory that factoring and solving will take beyond the matrix itself."""
        if self.analysis is None:
            return float(SCIPY_BYTES * self.matrix.shape[0] ** (4 / 3))
        factor = self.analysis.memory_plan(str(self.matrix.dtype), BLOCK)["peak_bytes"]
        return float(factor + ORDERING_BYTES * self.matrix.nnz)

    def make(self) -> Factor:
        """Factor it."""
        return Factor(self)


def plan_direct(matrix: sp.csr_matrix, pinned: IntArray = NO_UNKNOWNS) -> DirectPlan:
    """Analyse a symmetric matrix of which some unknowns are held. (n, n), (n_pinned,).

    Held unknowns keep their place: their rows and columns become those of the identity.
    """
    matrix = _held(matrix, pinned) if len(pinned) else matrix
    analysis = _analysed(matrix) if _rslab_present() else None
    return DirectPlan(matrix=matrix, pinned=pinned, analysis=analysis)


def engine_name() -> str:
    """Name and version of the sparse solver in use, for the record of a run."""
    name = "rslab" if _rslab_present() else "scipy"
    return f"{name} {version(name)}"


def _held(matrix: sp.csr_matrix, pinned: IntArray) -> sp.csr_matrix:
    loose = np.ones(matrix.shape[0], dtype=matrix.dtype)
    loose[pinned] = 0.0
    data = matrix.data * loose[matrix.indices]
    for row in pinned:
        places = slice(matrix.indptr[row], matrix.indptr[row + 1])
        data[places] = matrix.indices[places] == row
    return sp.csr_matrix((data, matrix.indices, matrix.indptr), shape=matrix.shape)


def _rslab_present() -> bool:
    try:
        import_module("rslab")
    except ImportError:
        return False
    return True


def _columns(matrix: sp.csr_matrix) -> sp.csc_matrix:
    """Return a symmetric matrix by columns, which are its rows: nothing is copied."""
    return sp.csc_matrix(
        (matrix.data, matrix.indices, matrix.indptr), shape=matrix.shape
    )


def _analysed(matrix: sp.csr_matrix) -> Any:
    # A race of orderings would add a sixth to the analysis.
    ordering = "amf" if matrix.shape[0] <= MINIMUM_FILL else "metis"
    return import_module("rslab").analyze(
        _columns(matrix), path="ldlt", ordering=ordering, threads="ambient"
    )


def _factorise(plan: DirectPlan) -> Solve:
    if plan.analysis is None:
        lu = splu(
            plan.matrix.tocsc(),
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )
        return lambda loads: np.asarray(lu.solve(loads))
    ldlt = plan.analysis.factor(_columns(plan.matrix))
    return lambda loads: np.asarray(ldlt.solve_many(np.ascontiguousarray(loads)))
