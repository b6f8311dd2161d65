"""Compiled loops over rows of nodes: they fill matrices, multiply by them and smooth.

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

# A product and a sum may be rounded once instead of twice; no sum changes its order.
FUSED = {"contract"}

P = ParamSpec("P")
T = TypeVar("T")


def compiled(loop: Callable[P, T]) -> Callable[P, T]:
    """Make a function of arrays a compiled one that releases the interpreter."""
    made: Callable[P, T] = numba.njit(cache=True, nogil=True, fastmath=FUSED)(loop)
    return made


def inlined(loop: Callable[P, T]) -> Callable[P, T]:
    """Make a function a part of the compiled ones that call it.

    Arrays whose shape is written down where they are made then have a known shape in
    it as well, without which its loops do not become vector instructions.
    """
    made: Callable[P, T] = numba.njit(nogil=True, fastmath=FUSED, inline="always")(loop)
    return made


@inlined
def _find(where: Int32, pattern: tuple[Int32, Int32], row: int) -> None:
    """Write down where the pairs of a row stand, by column."""
    starts, columns = pattern
    for p in range(starts[row], starts[row + 1]):
        where[columns[p]] = p


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
    table: Array,
    lame: Array,
    blocks: Array,
) -> None:
    """Sum the stiffness of a range of node rows.

    Parameters
    ----------
    first, last : rows to fill
    pattern : row starts (n_node + 1,), columns of every row
    elements : where a node's entries start (n_node + 1,), and its entries, each
        k times the element plus the place in it
    nodes : (n_tet, k)
    geometry : gradients (n_tet, 3, 3) [1/mm], volumes (n_tet,) [mm³]
    table : of the gradients (k, k, 3, 3)
    lame : both constants of Lamé
    blocks : (n_pair, 3, 3), zero before
    """
    width, where = nodes.shape[1], np.empty(len(pattern[0]) - 1, np.int32)
    for row in range(first, last):
        _find(where, pattern, row)
        for q in range(elements[0][row], elements[0][row + 1]):
            element, k = divmod(elements[1][q], width)
            volume, gradients = geometry[1][element], geometry[0][element]
            for j in range(width):
                p = where[nodes[element, j]]
                _add_block(blocks[p], volume, table[k, j], gradients, lame)


@compiled
def fill_masses(
    first: int,
    last: int,
    pattern: tuple[Int32, Int32],
    elements: tuple[Int32, Int32],
    nodes: Int32,
    volumes: Array,
    table: Array,
    masses: Array,
) -> None:
    """Sum the mass of a range of node rows. Table (k, k), masses (n_pair,) of zeros."""
    width, where = nodes.shape[1], np.empty(len(pattern[0]) - 1, np.int32)
    for row in range(first, last):
        _find(where, pattern, row)
        for q in range(elements[0][row], elements[0][row + 1]):
            element, k = divmod(elements[1][q], width)
            for j in range(width):
                masses[where[nodes[element, j]]] += volumes[element] * table[k, j]


@compiled
def fill_diagonal(
    first: int,
    last: int,
    elements: tuple[Int32, Int32],
    geometry: tuple[Array, Array],
    table: Array,
    lame: Array,
    blocks: Array,
) -> None:
    """Sum what `fill_rows` puts on the diagonal alone. `blocks` (n_node, 3, 3)."""
    width = len(table)
    for row in range(first, last):
        for q in range(elements[0][row], elements[0][row + 1]):
            element, k = divmod(elements[1][q], width)
            volume, gradients = geometry[1][element], geometry[0][element]
            _add_block(blocks[row], volume, table[k, k], gradients, lame)


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
def mix_rows(
    first: int,
    last: int,
    places: tuple[Int32, Int32, Array],
    vectors: Array,
    out: Array,
) -> None:
    """Multiply a range of rows of a sparse matrix. Vectors (n, m) and out (k, m).

    `places` are the matrix's row starts, columns and weights.
    """
    starts, columns, weights = places
    for row in range(first, last):
        out[row] = 0.0
        for p in range(starts[row], starts[row + 1]):
            source, weight = columns[p], weights[p]
            for c in range(out.shape[1]):
                out[row, c] += weight * vectors[source, c]


@compiled
def relax_rows(
    first: int,
    last: int,
    places: tuple[Int32, Int32],
    pushed: Array,
    inverse: Array,
    pace: Array,
    state: tuple[Array, Array, Array],
) -> None:
    """Take a step of a smoothing polynomial on a range of node rows.

    Parameters
    ----------
    first, last : rows to move
    places : where a node's places start (n_node + 1,), and its places in `pushed`
    pushed : (n_place, 3, m) what the last step pushes with, to be summed at the nodes
    inverse : (n_node, 3, 3) of the blocks on the diagonal
    pace : how much of the last step goes into the next, and how much of what is left
    state : what is left of the load, the last step, the displacement: all (n_node, 3,
        m), changed in place
    """
    left, step, moved = state
    for row in range(first, last):
        turn = inverse[row]
        for p in range(places[0][row], places[0][row + 1]):
            for x in range(3):
                for c in range(left.shape[2]):
                    left[row, x, c] -= pushed[places[1][p], x, c]
        for c in range(left.shape[2]):
            for x in range(3):
                fresh = (
                    turn[x, 0] * left[row, 0, c]
                    + turn[x, 1] * left[row, 1, c]
                    + turn[x, 2] * left[row, 2, c]
                )
                step[row, x, c] = pace[0] * step[row, x, c] + pace[1] * fresh
                moved[row, x, c] += step[row, x, c]
