"""The sparse factor against SciPy's own solver and dense algebra."""

import numpy as np
import pytest
import scipy.sparse as sp
from scipy.sparse.linalg import spsolve
from sparse_matrices import MATRICES, grid

from fea.core.cholesky import BLOCK, Cholesky
from fea.core.elimination import plan_elimination


@pytest.mark.parametrize("name", MATRICES)
@pytest.mark.parametrize("precision", [np.float64, np.float32])
def test_solves_as_scipy_does(name: str, precision: type) -> None:
    matrix = MATRICES[name]
    loads = np.random.default_rng(1).standard_normal((matrix.shape[0], 3))
    wanted = spsolve(matrix.tocsc(), loads).reshape(loads.shape)
    factor = Cholesky(matrix.astype(precision), plan_elimination(matrix))
    found = factor.solve(loads.astype(precision))
    assert found.dtype == precision
    # Round-off, times a condition number of some thousands.
    close = 5e4 * np.finfo(precision).eps
    assert np.abs(found - wanted).max() < close * np.abs(wanted).max()


def test_some_fronts_take_more_blocks_than_one() -> None:
    assert plan_elimination(MATRICES["full"]).widths.max() > 2 * BLOCK


def test_one_load_at_a_time_gives_what_many_give() -> None:
    matrix = grid(30)
    factor = Cholesky(matrix, plan_elimination(matrix))
    loads = np.random.default_rng(1).standard_normal((matrix.shape[0], 5))
    apart = np.hstack([factor.solve(loads[:, [k]]) for k in range(5)])
    assert np.abs(factor.solve(loads) - apart).max() < 1e-12 * np.abs(apart).max()


def test_a_plan_serves_every_matrix_of_its_pattern() -> None:
    matrix = grid(20)
    plan = plan_elimination(matrix)
    load = np.ones((matrix.shape[0], 1))
    once = Cholesky(matrix, plan).solve(load)
    assert np.allclose(Cholesky(4.0 * matrix, plan).solve(load), once / 4.0, rtol=1e-12)


@pytest.mark.parametrize(
    "shift", [-1e-3, -1.0], ids=["just below zero", "well below zero"]
)
def test_a_negative_eigenvalue_is_refused(shift: float) -> None:
    matrix = grid(20)
    lowest = 8.0 * np.sin(np.pi / 42.0) ** 2  # of the five-point Laplacian
    moved = sp.csr_matrix(matrix + (shift - lowest) * sp.identity(matrix.shape[0]))
    with pytest.raises(ArithmeticError):
        Cholesky(moved, plan_elimination(moved))
    kept = sp.csr_matrix(matrix + (1e-3 - lowest) * sp.identity(matrix.shape[0]))
    Cholesky(kept, plan_elimination(kept))
