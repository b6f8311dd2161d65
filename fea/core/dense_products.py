"""Products of dense matrices that are added where the sum stands."""

from scipy.linalg.blas import dgemm

from geometry.pad import FloatArray


def add_product(
    total: FloatArray, left: FloatArray, right: FloatArray, factor: float = 1.0
) -> None:
    """Add factor times left times right to a matrix, without another of its size.

    Parameters
    ----------
    total : (n, m), changed in place; contiguous by rows or by columns
    left : (n, k), read where it stands if it is contiguous by rows
    right : (k, m)

    Raises
    ------
    ValueError
        The total is neither, so that BLAS would add to a copy of it.
    """
    if total.flags.f_contiguous:
        dgemm(factor, left.T, right, 1.0, total, trans_a=True, overwrite_c=True)
    elif total.flags.c_contiguous:
        dgemm(factor, right.T, left.T, 1.0, total.T, overwrite_c=True)
    else:
        message = "the sum is contiguous neither by rows nor by columns"
        raise ValueError(message)
