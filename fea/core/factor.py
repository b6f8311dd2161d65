"""Sparse Cholesky-type factorisation behind one small interface."""

from collections.abc import Callable
from importlib import import_module
from importlib.metadata import version

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import splu

from geometry.errors import SolveError
from geometry.pad import FloatArray

RESIDUAL_LIMIT = 1e-8  # relative to the load
REFINEMENTS = 3
WITNESSES = 3  # random mixtures of the loads whose residual is looked at

Solve = Callable[[FloatArray], FloatArray]


class Factor:
    """Factor of a symmetric positive definite matrix, for many right-hand sides.

    Parameters
    ----------
    matrix : (n, n) symmetric [N/mm]

    Raises
    ------
    SolveError
        The matrix is singular to working precision.
    """

    def __init__(self, matrix: sp.csr_matrix) -> None:
        self._matrix = matrix
        self._random = np.random.default_rng(0)
        try:
            self._solve = _factorise(matrix)
        except RuntimeError as error:
            message = f"a stiffness matrix of {matrix.shape[0]} unknowns is singular"
            raise SolveError(message) from error

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

    def _residual(self, loads: FloatArray, found: FloatArray) -> float:
        size = np.maximum(np.linalg.norm(loads, axis=0), np.finfo(float).tiny)
        mix = self._random.standard_normal((loads.shape[1], WITNESSES)) / size[:, None]
        wanted = loads @ mix
        left = wanted - self._matrix @ (found @ mix)
        return float(np.linalg.norm(left) / np.linalg.norm(wanted))


def engine_name() -> str:
    """Name and version of the sparse solver in use, for the record of a run."""
    name = "rslab" if _rslab_present() else "scipy"
    return f"{name} {version(name)}"


def _rslab_present() -> bool:
    try:
        import_module("rslab")
    except ImportError:
        return False
    return True


def _factorise(matrix: sp.csr_matrix) -> Solve:
    if not _rslab_present():
        lu = splu(
            matrix.tocsc(),
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )
        return lambda loads: np.asarray(lu.solve(loads))
    ldlt = import_module("rslab").ldlt(matrix.tocsc(), threads="ambient")
    return lambda loads: np.asarray(ldlt.solve_many(np.ascontiguousarray(loads)))
