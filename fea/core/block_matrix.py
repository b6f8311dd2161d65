"""Products with a stiffness kept in 3 x 3 blocks, on every core."""

import numpy as np
import scipy.sparse as sp

from fea.core.kernels import multiply_rows, scale_rows
from fea.core.threads import over_rows
from geometry.pad import FloatArray


def multiply(matrix: sp.bsr_matrix, vectors: np.ndarray) -> np.ndarray:
    """Return matrix times vectors.

    Parameters
    ----------
    matrix : (3 n, 3 k) in 3 x 3 blocks
    vectors : (3 k, m), of the matrix's precision

    Returns
    -------
    (3 n, m), of the same precision
    """
    width = vectors.shape[1]
    given = np.ascontiguousarray(vectors).reshape(-1, 3, width)
    n_row = matrix.shape[0] // 3
    out = np.empty((n_row, 3, width), dtype=matrix.dtype)
    places = (matrix.indptr, matrix.indices)
    over_rows(multiply_rows, n_row, *places, matrix.data, given, out)
    return out.reshape(-1, width)


def diagonal_blocks(matrix: sp.bsr_matrix) -> FloatArray:
    """Blocks on the diagonal, which must be in the pattern. (n, 3, 3)."""
    rows = np.repeat(np.arange(matrix.shape[0] // 3), np.diff(matrix.indptr))
    return np.asarray(matrix.data[rows == matrix.indices])


def scaled(matrix: sp.bsr_matrix, halves: FloatArray) -> sp.bsr_matrix:
    """Return S A S' in single precision, S block diagonal. `halves` (n, 3, 3)."""
    out = np.empty(matrix.data.shape, dtype=np.float32)
    places = (matrix.indptr, matrix.indices)
    over_rows(scale_rows, matrix.shape[0] // 3, *places, matrix.data, halves, out)
    return sp.bsr_matrix((out, matrix.indices, matrix.indptr), shape=matrix.shape)


def restricted(matrix: sp.bsr_matrix, kept: np.ndarray) -> sp.bsr_matrix:
    """Rows and columns of some nodes alone. `kept` (n,) of bool."""
    order = np.arange(len(matrix.indices), dtype=np.int32)
    n_row = matrix.shape[0] // 3
    places = sp.csr_matrix((order, matrix.indices, matrix.indptr), (n_row, n_row))
    part = places[kept][:, kept]
    size = 3 * part.shape[0]
    data = (matrix.data[part.data], part.indices, part.indptr)
    return sp.bsr_matrix(data, shape=(size, size))
