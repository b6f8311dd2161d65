"""Compiled loops over the node blocks of a stiffness: filling them, multiplying them.

Numba compiles them at their first use and keeps the result on disk. They release the
interpreter, so that `fea.core.threads.over_rows` runs a range of rows on each core;
every row is summed by one thread in one order, whatever the number of threads.
"""

from collections.abc import Callable
from typing import Any, ParamSpec, TypeVar

import numba
import numpy as np
from numpy.typing import NDArray

Int32 = NDArray[np.int32]
Array = NDArray[Any]
P = ParamSpec("P")
T = TypeVar("T")


def compiled(loop: Callable[P, T]) -> Callable[P, T]:
    """Make a function of arrays a compiled one that releases the interpreter."""
    made: Callable[P, T] = numba.njit(cache=True, nogil=True)(loop)
    return made


@compiled
def _add_block(
    into: Array, volume: float, table: Array, gradients: Array, lame: Array
) -> None:
    """Add what one element gives one pair of its nodes. `into` (3, 3)."""
    half = np.empty((3, 3))
    for a in range(3):
        for y in range(3):
            half[a, y] = volume * (
                table[a, 0] * gradients[0, y]
                + table[a, 1] * gradients[1, y]
                + table[a, 2] * gradients[2, y]
            )
    moment = np.empty((3, 3))
    for x in range(3):
        for y in range(3):
            moment[x, y] = (
                gradients[0, x] * half[0, y]
                + gradients[1, x] * half[1, y]
                + gradients[2, x] * half[2, y]
            )
    trace = moment[0, 0] + moment[1, 1] + moment[2, 2]
    for x in range(3):
        for y in range(3):
            into[x, y] += lame[0] * moment[x, y] + lame[1] * moment[y, x]
        into[x, x] += lame[1] * trace


@compiled
def fill_rows(
    first: int,
    last: int,
    pattern: tuple[Int32, Int32],
    elements: tuple[Int32, Int32],
    nodes: Int32,
    geometry: tuple[Array, Array],
    tables: tuple[Array, Array],
    lame: Array,
    blocks: Array,
    masses: Array,
) -> None:
    """Sum stiffness and mass of a range of node rows.

    Parameters
    ----------
    first, last : rows to fill
    pattern : row starts (n_node + 1,), columns of every row
    elements : where a node's entries start (n_node + 1,), and its entries, each
        10 times the element plus the place in it
    nodes : (n_tet, 10)
    geometry : gradients (n_tet, 3, 3) [1/mm], volumes (n_tet,) [mm³]
    tables : gradient table (10, 10, 3, 3), mass table (10, 10)
    lame : both constants of Lamé
    blocks, masses : (n_pair, 3, 3) and (n_pair,), zero before
    """
    starts, columns = pattern
    where = np.empty(len(starts) - 1, np.int32)
    for row in range(first, last):
        for p in range(starts[row], starts[row + 1]):
            where[columns[p]] = p
        for q in range(elements[0][row], elements[0][row + 1]):
            element, k = divmod(elements[1][q], 10)
            volume, gradients = geometry[1][element], geometry[0][element]
            for j in range(10):
                p = where[nodes[element, j]]
                masses[p] += volume * tables[1][k, j]
                _add_block(blocks[p], volume, tables[0][k, j], gradients, lame)


@compiled
def multiply_rows(
    first: int,
    last: int,
    starts: Int32,
    columns: Int32,
    blocks: Array,
    vectors: Array,
    out: Array,
) -> None:
    """Multiply a range of node rows. Blocks (n, 3, 3), vectors and out (n, 3, m)."""
    width = vectors.shape[2]
    for row in range(first, last):
        for c in range(width):
            out[row, 0, c] = out[row, 1, c] = out[row, 2, c] = 0.0
        for p in range(starts[row], starts[row + 1]):
            node = columns[p]
            b00, b01, b02 = blocks[p, 0, 0], blocks[p, 0, 1], blocks[p, 0, 2]
            b10, b11, b12 = blocks[p, 1, 0], blocks[p, 1, 1], blocks[p, 1, 2]
            b20, b21, b22 = blocks[p, 2, 0], blocks[p, 2, 1], blocks[p, 2, 2]
            for c in range(width):
                x, y, z = vectors[node, 0, c], vectors[node, 1, c], vectors[node, 2, c]
                out[row, 0, c] += b00 * x + b01 * y + b02 * z
                out[row, 1, c] += b10 * x + b11 * y + b12 * z
                out[row, 2, c] += b20 * x + b21 * y + b22 * z


@compiled
def scale_rows(
    first: int,
    last: int,
    starts: Int32,
    columns: Int32,
    blocks: Array,
    halves: Array,
    out: Array,
) -> None:
    """Blocks of a range of rows, from both sides times those of a diagonal."""
    left = np.empty((3, 3))
    for row in range(first, last):
        for p in range(starts[row], starts[row + 1]):
            right = halves[columns[p]]
            for a in range(3):
                for b in range(3):
                    left[a, b] = (
                        halves[row, a, 0] * blocks[p, 0, b]
                        + halves[row, a, 1] * blocks[p, 1, b]
                        + halves[row, a, 2] * blocks[p, 2, b]
                    )
            for a in range(3):
                for b in range(3):
                    out[p, a, b] = (
                        left[a, 0] * right[b, 0]
                        + left[a, 1] * right[b, 1]
                        + left[a, 2] * right[b, 2]
                    )
