import numpy as np
import pytest
import scipy.sparse as sp
from block_mesh import block_mesh

from fea.core.elasticity import node_points, quadratic_mesh
from fea.core.factor import Factor, plan_direct
from fea.core.solid import stiffness_and_mass
from geometry.errors import SolveError


def block_stiffness() -> sp.csr_matrix:
    """Stiffness of a free block; six rigid motions have none."""
    mesh = quadratic_mesh(block_mesh((40.0, 30.0, 20.0), (4, 3, 2)))
    return stiffness_and_mass(mesh, 0.3)[0]


def block_points() -> np.ndarray:
    """Nodes of the block."""
    return node_points(quadratic_mesh(block_mesh((40.0, 30.0, 20.0), (4, 3, 2))))


def clamped_stiffness() -> sp.csr_matrix:
    """Stiffness of the block with one end held."""
    free = np.repeat(block_points()[:, 0] > 0.0, 3)
    return block_stiffness()[free][:, free].tocsr()


def test_a_solution_leaves_no_residual() -> None:
    matrix = clamped_stiffness()
    loads = np.random.default_rng(0).standard_normal((matrix.shape[0], 70))
    found = Factor(matrix).solve(loads)
    left = np.linalg.norm(matrix @ found - loads, axis=0)
    # The limit the solver promises, for every load and not only for the mixtures.
    assert (left < 1e-8 * np.linalg.norm(loads, axis=0)).all()


def test_a_single_precision_matrix_is_solved_in_single_precision() -> None:
    matrix = block_stiffness()
    held = np.flatnonzero(np.repeat(block_points()[:, 0] == 0.0, 3))
    loads = np.random.default_rng(0).standard_normal((matrix.shape[0], 2))
    right = plan_direct(matrix, held).make().once(loads)
    single = plan_direct(matrix.astype(np.float32), held).make()
    found = single.once(loads)
    assert found.dtype == np.float32
    # Round-off of single precision, 6e-8, times the condition number, some 1e4.
    assert np.abs(found - right).max() < 6e-4 * np.abs(right).max()
    assert np.all(found[held] == 0.0)


def test_loads_are_left_as_they_are() -> None:
    matrix = block_stiffness()
    held = np.flatnonzero(np.repeat(block_points()[:, 0] == 0.0, 3))
    loads = np.ones((matrix.shape[0], 2))
    plan_direct(matrix, held).make().once(loads)
    assert np.all(loads == 1.0)


def test_a_floating_body_is_refused() -> None:
    matrix = block_stiffness()
    load = np.zeros((matrix.shape[0], 1))
    load[0] = 1.0
    with pytest.raises(SolveError, match=r"singular|residual"):
        Factor(matrix).solve(load)


def test_a_row_of_zeros_is_refused() -> None:
    matrix = clamped_stiffness().tolil()
    matrix[5, :] = 0.0
    matrix[:, 5] = 0.0
    load = np.ones((matrix.shape[0], 1))
    with pytest.raises(SolveError, match=r"singular|residual"):
        Factor(matrix.tocsr()).solve(load)
