"""Products with sparse matrices, on every core."""

import numpy as np
import scipy.sparse as sp

from fea.core.kernels import mix_rows, multiply_rows
from fea.core.threads import over_rows


def mixed(weights: sp.csr_matrix, values: np.ndarray) -> np.ndarray:
    """Return sparse weights times rows of values. (n, k), (k, m) to (n, m)."""
    given = np.ascontiguousarray(values)
    out = np.empty((weights.shape[0], given.shape[1]), given.dtype)
    places = (weights.indptr, weights.indices, weights.data)
    over_rows(mix_rows, len(out), places, given, out)
    return out


def multiply(matrix: sp.bsr_matrix, vectors: np.ndarray) -> np.ndarray:
    """Return a matrix in 3 x 3 blocks times vectors.

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
