"""Symmetric positive definite matrices of very different patterns."""

import numpy as np
import scipy.sparse as sp

from fea.core.elimination import Elimination


def grid(cells: int) -> sp.csr_matrix:
    """Five-point Laplacian of a square, its edge held."""
    line = sp.diags_array([-1.0, 2.0, -1.0], offsets=[-1, 0, 1], shape=(cells, cells))
    one = sp.identity(cells)
    return sp.csr_matrix(sp.kron(line, one) + sp.kron(one, line))


def scattered(size: int) -> sp.csr_matrix:
    """Entries anywhere; positive definite because the diagonal outweighs them."""
    made = sp.random(size, size, density=2.0 / size, random_state=0)
    both = abs(made + made.T)
    outweighed = np.asarray(both.sum(axis=1)).ravel() + 0.1
    return sp.csr_matrix(sp.diags_array(outweighed) - both)


def full(size: int) -> sp.csr_matrix:
    """No zeros, so that one front eliminates all, in several blocks."""
    root = np.random.default_rng(0).standard_normal((size, size))
    return sp.csr_matrix(root @ root.T + size * np.eye(size))


def arrow(size: int) -> sp.csr_matrix:
    """Every unknown touches the first, which fills everything if it goes first."""
    matrix = sp.lil_matrix((size, size))
    matrix.setdiag(float(size))
    matrix[0, :] = matrix[:, 0] = -0.5
    matrix[0, 0] = float(size)
    return matrix.tocsr()


def entries(plan: Elimination) -> int:
    """Entries of a factor on and below the diagonal, zeros that it holds included."""
    widths, heights = plan.widths, plan.heights
    return int(np.sum(widths * (widths + 1) // 2 + widths * heights))


MATRICES = {
    "one unknown": sp.csr_matrix([[4.0]]),
    "nothing coupled": sp.csr_matrix(sp.diags_array(np.arange(1.0, 30.0))),
    "grid": grid(40),
    "two apart": sp.csr_matrix(sp.block_diag([grid(13), grid(7)])),
    "three unknowns a node": sp.csr_matrix(
        sp.kron(grid(12), np.array([[4.0, 1.0, 0.5], [1.0, 3.0, 0.2], [0.5, 0.2, 2.0]]))
    ),
    "scattered": scattered(300),
    "full": full(400),
    "arrow": arrow(50),
}
