"""Rows that differ, so that what repeats is computed once."""

import numpy as np

from geometry.mesh import IntArray
from geometry.pad import FloatArray


def distinct(rows: FloatArray) -> tuple[IntArray, IntArray]:
    """Places of the rows that differ, and which of them each row is.

    (s, n) to (k,) and (s,), in the order of the rows: the first stays the first.
    """
    _, first, which = np.unique(rows, axis=0, return_index=True, return_inverse=True)
    order = np.argsort(first)
    place = np.empty_like(order)
    place[order] = np.arange(len(order))
    return first[order], place[which.ravel()]
