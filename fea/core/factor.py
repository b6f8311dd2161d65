"""A sparse factor that is checked: what it solves leaves no residual."""

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from fea.core.cholesky import Cholesky, factor_bytes
from fea.core.elimination import Elimination, plan_elimination
from fea.core.kernels import Int32
from fea.core.ordering import order_name
from geometry.errors import SolveError
from geometry.mesh import IntArray
from geometry.pad import FloatArray

RESIDUAL_LIMIT = 1e-8  # relative to the load
REFINEMENTS = 3
WITNESSES = 3  # random mixtures of the loads whose residual is looked at

# Loads solved at a time, by those who have many. A block of 64 takes a third longer a
# load, one of 256 as long and twice the memory: measured on parts of 10 to 50 thousand
# unknowns.
BLOCK = 128

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
            self._cholesky = Cholesky(plan.matrix, plan.elimination)
        except ArithmeticError as error:
            size = plan.matrix.shape[0]
            message = f"a stiffness matrix of {size} unknowns is singular"
            raise SolveError(message) from error

    def once(self, loads: FloatArray) -> FloatArray:
        """Return displacements under loads as the factor gives them, unchecked.

        (n, n_load), to the matrix's precision.
        """
        return self._cholesky.solve(self._on_free(loads))

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
        found = self._cholesky.solve(loads)
        worst = self._residual(loads, found)
        for _ in range(REFINEMENTS):
            if worst < RESIDUAL_LIMIT:
                return found
            found = found + self._cholesky.solve(loads - self._matrix @ found)
            worst = self._residual(loads, found)
        message = (
            f"a solve left a relative residual of {worst:.1e} (allowed "
            f"{RESIDUAL_LIMIT}): the mesh holds badly shaped elements; change "
            "numerics.mesh_size a little"
        )
        raise SolveError(message)

    def _on_free(self, loads: FloatArray) -> FloatArray:
        """Return a copy in the matrix's precision, without loads on held unknowns."""
        loads = np.array(loads, dtype=self._matrix.dtype, order="C")
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
    elimination : of the matrix's pattern
    """

    matrix: sp.csr_matrix
    pinned: IntArray
    elimination: Elimination

    @property
    def peak_bytes(self) -> float:
        """Memory that factoring and solving will take beyond the matrix itself."""
        return factor_bytes(self.elimination, self.matrix.dtype.itemsize, BLOCK)

    def make(self) -> Factor:
        """Factor it."""
        return Factor(self)


def plan_direct(
    matrix: sp.csr_matrix,
    pinned: IntArray = NO_UNKNOWNS,
    order: Int32 | None = None,
) -> DirectPlan:
    """Plan the factor of a symmetric matrix of which some unknowns are held.

    Held unknowns keep their place: their rows and columns become those of the identity.

    Parameters
    ----------
    matrix : (n, n)
    pinned : (n_pinned,)
    order : (n,) unknowns in an order of elimination that fills little, if it is known
    """
    matrix = _held(matrix, pinned) if len(pinned) else matrix
    elimination = plan_elimination(matrix, order)
    return DirectPlan(matrix=matrix, pinned=pinned, elimination=elimination)


def engine_name() -> str:
    """Name what factors, for the record of a run."""
    return f"Cholesky's factor, {order_name()}"


def _held(matrix: sp.csr_matrix, pinned: IntArray) -> sp.csr_matrix:
    loose = np.ones(matrix.shape[0], dtype=matrix.dtype)
    loose[pinned] = 0.0
    data = matrix.data * loose[matrix.indices]
    for row in pinned:
        places = slice(matrix.indptr[row], matrix.indptr[row + 1])
        data[places] = matrix.indices[places] == row
    return sp.csr_matrix((data, matrix.indices, matrix.indptr), shape=matrix.shape)
