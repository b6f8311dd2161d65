"""Cholesky's factor of a sparse matrix, front by front, by products of dense blocks.

A front gathers what the matrix and its children hold in the rows that it eliminates,
and leaves what they do to later rows to its parent (the multifrontal method: Liu, SIAM
Review 34 (1992) 82, from memory). It eliminates block by block, and of a block's own
triangle keeps the inverse: solving is then made of products as well.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import scipy.sparse as sp
from scipy.linalg import get_blas_funcs, get_lapack_funcs

from fea.core.elimination import Elimination
from fea.core.front_loops import (
    add_to_panel,
    add_to_rest,
    fill,
    subtract_rows,
    take_rows,
)
from fea.core.front_plans import layout, places
from fea.core.kernels import Array, Int32
from fea.core.threads import on_one_blas_thread
from geometry.mesh import IntArray

# Unknowns eliminated at a time. Between 96 and 256 the time stays the same.
BLOCK = 192


@dataclass(frozen=True, slots=True)
class _Block:
    """Rows of the factor: those of one block of a front.

    Parameters
    ----------
    own : places that it eliminates
    below : (n,) later places that it touches
    inverse : (width, width) of the lower triangle on the diagonal
    coupling : (width, n), the rows right of it
    """

    own: slice
    below: Int32
    inverse: Array
    coupling: Array


class Cholesky:
    """Factor of a symmetric positive definite matrix, in the matrix's precision.

    Parameters
    ----------
    matrix : (n, n) in sorted or unsorted rows, both triangles
    plan : from `plan_elimination` of its pattern

    Raises
    ------
    ArithmeticError
        The matrix is not positive definite to working precision.
    """

    @on_one_blas_thread
    def __init__(self, matrix: sp.csr_matrix, plan: Elimination) -> None:
        self._order = plan.order
        self._blocks = _Factorisation(matrix, plan).blocks()
        self._tallest = max(len(block.below) for block in self._blocks)

    def solve(self, loads: Array) -> Array:
        """Return displacements under loads. (n, n_load), of the matrix's precision."""
        moved = loads[self._order]
        width = loads.shape[1]
        tall = np.empty((self._tallest, width), loads.dtype)
        wide = np.empty((BLOCK, width), loads.dtype)
        for block in self._blocks:
            self._forward(block, moved, wide, tall[: len(block.below)])
        for block in reversed(self._blocks):
            self._backward(block, moved, wide, tall[: len(block.below)])
        found = np.empty_like(moved)
        found[self._order] = moved
        return found

    def _forward(self, block: _Block, moved: Array, wide: Array, tall: Array) -> None:
        own = np.matmul(block.inverse, moved[block.own], out=wide[: len(block.inverse)])
        moved[block.own] = own
        subtract_rows(moved, block.below, np.matmul(block.coupling.T, own, out=tall))

    def _backward(self, block: _Block, moved: Array, wide: Array, tall: Array) -> None:
        own, work = moved[block.own], wide[: len(block.inverse)]
        take_rows(tall, moved, block.below)
        own -= np.matmul(block.coupling, tall, out=work)
        own[:] = np.matmul(block.inverse.T, own, out=work)


class _Factorisation:
    """A factorisation under way, with the memory that it lets go at its end."""

    def __init__(self, matrix: sp.csr_matrix, plan: Elimination) -> None:
        self._plan, dtype = plan, matrix.dtype
        self._matrix = (
            matrix.indptr.astype(np.int32, copy=False),
            matrix.indices.astype(np.int32, copy=False),
            matrix.data,
        )
        self._order = (plan.order, places(plan.order))
        self._where = np.empty(len(plan.order), dtype=np.int32)
        self._side, self._begin, most = layout(plan.parent, plan.heights)
        self._stacks = [np.empty(size, dtype) for size in most]
        self._panel = np.empty(_panel_size(plan), dtype)
        self._product = np.empty(BLOCK * int(_lengths(plan).max()), dtype)
        self._potrf: Any = get_lapack_funcs("potrf", dtype=dtype)
        self._trtri: Any = get_lapack_funcs("trtri", dtype=dtype)
        self._syrk = get_blas_funcs("syrk", dtype=dtype)

    def blocks(self) -> list[_Block]:
        """Eliminate everything."""
        blocks: list[_Block] = []
        children: list[list[int]] = [[] for _ in self._plan.parent]
        for front, parent in enumerate(self._plan.parent.tolist()):
            panel = self._filled(front, children[front])
            blocks += self._eliminated(front, panel)
            if parent >= 0:
                self._leave(front, panel, children[front])
                children[parent].append(front)
        return blocks

    def _filled(self, front: int, children: list[int]) -> Array:
        """Return the rows that a front eliminates, all added up. (width, length)."""
        plan = self._plan
        first, end = int(plan.first[front]), int(plan.first[front + 1])
        below = plan.rows(front)
        shape = (end - first, end - first + len(below))
        panel = self._panel[: shape[0] * shape[1]].reshape(shape)
        own = (first, end)
        fill(panel, self._where, own, below, self._matrix, self._order)
        for child in children:
            add_to_panel(panel, self._where, plan.rows(child), self._left(child))
        return panel

    def _eliminated(self, front: int, panel: Array) -> Iterator[_Block]:
        """Eliminate a front's rows, which become the factor's."""
        plan, width = self._plan, len(panel)
        first, end = int(plan.first[front]), int(plan.first[front + 1])
        for start in range(0, width, BLOCK):
            stop = min(start + BLOCK, width)
            rows = panel[start:stop, start:]
            if start > 0:
                before, out = panel[:start, start:], self._product[: rows.size]
                shared = before[:, : stop - start].T
                rows -= np.matmul(shared, before, out=out.reshape(rows.shape))
            inverse = self._inverse(rows[:, : stop - start])
            coupling = np.matmul(inverse, rows[:, stop - start :])
            rows[:, stop - start :] = coupling
            rest = np.arange(first + stop, end, dtype=np.int32)
            yield _Block(
                own=slice(first + start, first + stop),
                below=np.concatenate([rest, plan.rows(front)]),
                inverse=inverse,
                coupling=coupling,
            )

    def _inverse(self, diagonal: Array) -> Array:
        """Return the inverse of the factor of a diagonal block, given above it.

        (width, width) to the same, lower triangular.
        """
        factor, failed = self._potrf(diagonal.T, lower=True)
        if failed:
            message = "a matrix is not positive definite"
            raise ArithmeticError(message)
        inverse, _ = self._trtri(factor, lower=True, overwrite_c=True)
        return np.asarray(inverse)

    def _leave(self, front: int, panel: Array, children: list[int]) -> None:
        """Write what a front leaves to its parent: right of the diagonal."""
        rest, width = self._left(front), len(panel)
        self._syrk(-1.0, panel[:, width:].T, 0.0, rest.T, lower=True, overwrite_c=True)
        for child in children:
            below = self._plan.rows(child)
            add_to_rest(rest, width, self._where, below, self._left(child))

    def _left(self, front: int) -> Array:
        """Where a front leaves its remainder. (height, height)."""
        height, begin = int(self._plan.heights[front]), int(self._begin[front])
        stack = self._stacks[self._side[front]]
        left: Array = stack[begin : begin + height**2].reshape(height, height)
        return left


def factor_bytes(plan: Elimination, itemsize: int, loads: int) -> float:
    """Memory that factoring takes, or solving for so many loads at a time after it."""
    widths, heights = plan.widths, plan.heights
    kept = np.sum(widths * (heights + (widths + np.minimum(widths, BLOCK)) / 2))
    _, _, most = layout(plan.parent, plan.heights)
    longest = int(_lengths(plan).max())
    making = most.sum() + _panel_size(plan) + BLOCK * longest
    solving = loads * (2 * len(plan.order) + longest + BLOCK)
    return float(itemsize * (kept + max(making, solving)))


def _lengths(plan: Elimination) -> IntArray:
    """Length of the rows of every front. (n_front,)."""
    return plan.widths + plan.heights


def _panel_size(plan: Elimination) -> int:
    """Numbers in the largest panel."""
    return int(np.max(plan.widths * _lengths(plan)))
