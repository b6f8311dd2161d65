"""Cholesky's factor of a sparse matrix, front by front, by products of dense blocks.

A front gathers what the matrix and its children hold in the rows that it eliminates,
and leaves what they do to later rows to its parent (the multifrontal method: Liu, SIAM
Review 34 (1992) 82, from memory). It eliminates block by block, and of a block's own
triangle keeps the inverse: solving is then made of products as well.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import scipy.sparse as sp
from scipy.linalg import get_blas_funcs, get_lapack_funcs

from fea.core.elimination import Elimination, pattern
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


@dataclass(frozen=True, slots=True)
class _Front:
    """What a front eliminates, and what it leaves.

    Parameters
    ----------
    own : the first of its places, and the one after the last
    below : (height,) later places that it touches
    rest : (height, height) what it leaves of them, right of the diagonal
    """

    own: tuple[int, int]
    below: Int32
    rest: Array


class _Factorisation:
    """A factorisation under way, with the memory that it lets go at its end."""

    def __init__(self, matrix: sp.csr_matrix, plan: Elimination) -> None:
        self._parents, dtype = plan.parent.tolist(), matrix.dtype
        self._matrix = (*pattern(matrix), matrix.data)
        self._order = (plan.order, places(plan.order))
        self._where = np.empty(len(plan.order), dtype=np.int32)
        self._fronts = _fronts(plan, dtype)
        self._panel = np.empty(_panel_size(plan), dtype)
        self._product = np.empty(BLOCK * int(_lengths(plan).max()), dtype)
        self._potrf: Any = get_lapack_funcs("potrf", dtype=dtype)
        self._trtri: Any = get_lapack_funcs("trtri", dtype=dtype)
        self._syrk = get_blas_funcs("syrk", dtype=dtype)

    def blocks(self) -> list[_Block]:
        """Eliminate everything."""
        blocks: list[_Block] = []
        children: list[list[_Front]] = [[] for _ in self._fronts]
        for k, (front, parent) in enumerate(
            zip(self._fronts, self._parents, strict=True)
        ):
            panel = self._filled(front, children[k])
            blocks += self._eliminated(front, panel)
            if parent >= 0:
                self._leave(front, panel, children[k])
                children[parent].append(front)
        return blocks

    def _filled(self, front: _Front, children: list[_Front]) -> Array:
        """Return the rows that a front eliminates, all added up. (width, length)."""
        width = front.own[1] - front.own[0]
        shape = (width, width + len(front.below))
        panel = self._panel[: shape[0] * shape[1]].reshape(shape)
        fill(panel, self._where, front.own, front.below, self._matrix, self._order)
        for child in children:
            add_to_panel(panel, self._where, child.below, child.rest)
        return panel

    def _eliminated(self, front: _Front, panel: Array) -> Iterator[_Block]:
        """Eliminate a front's rows, which become the factor's."""
        width, (first, end) = len(panel), front.own
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
            later = np.arange(first + stop, end, dtype=np.int32)
            yield _Block(
                own=slice(first + start, first + stop),
                below=np.concatenate([later, front.below]),
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

    def _leave(self, front: _Front, panel: Array, children: list[_Front]) -> None:
        """Write what a front leaves to its parent."""
        width = len(panel)
        rows, rest = panel[:, width:].T, front.rest.T
        self._syrk(-1.0, rows, 0.0, rest, lower=True, overwrite_c=True)
        for child in children:
            add_to_rest(front.rest, width, self._where, child.below, child.rest)


def _fronts(plan: Elimination, dtype: np.dtype) -> list[_Front]:
    """Return the fronts with room for what they leave, on two stacks."""
    heights = plan.heights
    side, begin, most = layout(plan.parent, heights)
    stacks = [np.empty(size, dtype) for size in most]
    own = pairwise(plan.first.tolist())
    below = np.split(plan.below, plan.starts[1:-1])
    rests = (
        stacks[which][start : start + height**2].reshape(height, height)
        for which, start, height in zip(side, begin, heights.tolist(), strict=True)
    )
    return [_Front(*given) for given in zip(own, below, rests, strict=True)]


def factor_bytes(plan: Elimination, itemsize: int, loads: int) -> float:
    """Memory that factoring takes, or solving for so many loads at a time after it."""
    widths, heights = plan.widths, plan.heights
    kept = np.sum(widths * (heights + (widths + np.minimum(widths, BLOCK)) / 2))
    _, _, most = layout(plan.parent, heights)
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
