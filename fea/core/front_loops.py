"""Compiled loops that fill fronts, and that move rows between them and a whole."""

import numpy as np

from fea.core.kernels import Array, Int32, compiled


@compiled
def fill(
    panel: Array,
    where: Int32,
    own: tuple[int, int],
    below: Int32,
    matrix: tuple[Int32, Int32, Array],
    order: tuple[Int32, Int32],
) -> None:
    """Fill the rows that a front eliminates with the matrix's entries.

    Parameters
    ----------
    panel : (width, width + height), written to on and right of its diagonal
    where : (n,), written to: columns of the panel by place
    own : first place of the front's own, and the one after the last
    below : (height,) places beyond them
    matrix : starts, columns and entries of its rows
    order : the unknown at each place, and the place of each unknown
    """
    first, end = own
    for k in range(first, end):
        where[k] = k - first
    for k in range(len(below)):
        where[below[k]] = end - first + k
    panel[:] = 0.0
    starts, columns, entries = matrix
    unknown, place = order
    for k in range(first, end):
        for p in range(starts[unknown[k]], starts[unknown[k] + 1]):
            column = place[columns[p]]
            if column >= k:
                panel[k - first, where[column]] = entries[p]


@compiled
def add_to_panel(panel: Array, where: Int32, below: Int32, left: Array) -> None:
    """Add what a child left to the rows that its parent eliminates.

    `left` (height, height) holds the child's `below`, on and right of the diagonal.
    """
    for j in range(len(below)):
        row = where[below[j]]
        if row >= len(panel):
            return
        for i in range(j, len(below)):
            panel[row, where[below[i]]] += left[j, i]


@compiled
def add_to_rest(
    rest: Array, width: int, where: Int32, below: Int32, left: Array
) -> None:
    """Add what a child left to what its parent leaves, run of columns by run.

    `rest` (parent's height, parent's height) without the `width` rows it eliminates.
    """
    first = 0
    while first < len(below) and where[below[first]] < width:
        first += 1
    ends = np.empty(len(below), np.int32)
    count = 0
    for j in range(first, len(below)):
        if j + 1 == len(below) or where[below[j + 1]] != where[below[j]] + 1:
            ends[count] = j + 1
            count += 1
    run = 0
    for j in range(first, len(below)):
        if j == ends[run]:
            run += 1
        row, start = where[below[j]] - width, j
        for k in range(run, count):
            column = where[below[start]] - width
            for i in range(ends[k] - start):
                rest[row, column + i] += left[j, start + i]
            start = ends[k]


@compiled
def take_rows(part: Array, whole: Array, rows: Int32) -> None:
    """Copy rows of a whole. (k, m), (n, m), (k,)."""
    for k in range(len(rows)):
        row = rows[k]
        for j in range(whole.shape[1]):
            part[k, j] = whole[row, j]


@compiled
def subtract_rows(whole: Array, rows: Int32, part: Array) -> None:
    """Subtract from rows of a whole. (n, m), (k,), (k, m)."""
    for k in range(len(rows)):
        row = rows[k]
        for j in range(whole.shape[1]):
            whole[row, j] -= part[k, j]
