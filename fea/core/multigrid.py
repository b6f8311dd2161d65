"""Conjugate gradients with two levels: all nodes, and the corners alone.

What is linear between the corners is a stiffness of an eighth of the unknowns, which a
factor solves; what the edge middles add is short-waved and left to a polynomial
smoother. The linear functions hold every rigid motion, which is what makes an iterative
solver of elasticity converge, and mesh size costs no iterations. Both levels are kept
in single precision: they only precondition, and take as many steps as in double.
"""

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from fea.core.block_matrix import diagonal_blocks, multiply, scaled
from fea.core.factor import DirectPlan, Factor, plan_direct
from geometry.errors import SolveError
from geometry.mesh import IntArray
from geometry.pad import FloatArray

# Relative to the load; displacements are then right to about 1e-11.
RESIDUAL = 1e-9
MOST_ITERATIONS = 150  # ten times what meshes of usable elements take

# Degree of the smoothing polynomial, and the part of the spectrum that it damps.
# Degrees from 2 to 4 with spans in proportion take the same time, within a tenth.
DEGREE = 3
SPAN = 10.0

# Power iteration comes at the largest eigenvalue from below; what is added covers that.
POWER_STEPS = 15
MARGIN = 1.1

VECTORS = 12  # as long as a load that are alive at once, for the memory they take
WIDTH = 16  # loads solved at a time: more of them do not fit the processor's cache


class Multigrid:
    """Solver for a symmetric stiffness of quadratic elements, for few loads.

    Made by `plan_iterative(...).make()`. Loads on a floating body must be balanced; the
    answer is then right but for rigid motions.
    """

    def __init__(self, matrix: sp.bsr_matrix, fine: "_Fine", corners: Factor) -> None:
        self._matrix = matrix
        self._fine = fine
        self._corners = corners

    def solve(self, loads: FloatArray) -> FloatArray:
        """Return displacements under loads. (3 n, n_load) to the same.

        Raises
        ------
        SolveError
            The residual does not get small enough.
        """
        found = np.empty(loads.shape)
        for first in range(0, loads.shape[1], WIDTH):
            columns = slice(first, first + WIDTH)
            found[:, columns] = self._block(np.ascontiguousarray(loads[:, columns]))
        return found

    def precondition(self, residual: FloatArray) -> FloatArray:
        """Return an approximate solution: smooth, correct by the corners, smooth."""
        size = np.abs(residual).max(axis=0) + np.finfo(float).tiny
        fine = self._fine
        load = multiply(fine.turn, (residual / size).astype(np.float32))
        moved = fine.smooth(load)
        left = load - multiply(fine.matrix, moved)
        coarse = self._corners.once(multiply(fine.restriction, left))
        moved += multiply(fine.prolongation, coarse)
        moved += fine.smooth(load - multiply(fine.matrix, moved))
        return np.asarray(multiply(fine.back, moved) * size)

    def _block(self, loads: FloatArray) -> FloatArray:
        """Flexible conjugate gradients: single precision makes the inner solve vary."""
        limit = RESIDUAL * np.linalg.norm(loads, axis=0)
        found, left = np.zeros_like(loads), loads.copy()
        better = self.precondition(left)
        along = better.copy()
        for _ in range(MOST_ITERATIONS):
            pushed = multiply(self._matrix, along)
            work = _over(_dots(along, left), _dots(along, pushed))
            gain = _dots(better, left)
            found += work * along
            before = left
            left = left - work * pushed
            if np.all(np.linalg.norm(left, axis=0) <= limit):
                return found
            better = self.precondition(left)
            turn = _over(_dots(better, left - before), gain)
            along = better + turn * along
        message = (
            f"conjugate gradients did not settle in {MOST_ITERATIONS} steps on "
            f"{len(loads)} unknowns: the mesh holds badly shaped elements; change "
            "numerics.mesh_size a little"
        )
        raise SolveError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fine:
    """Single-precision matrices in which every node's own stiffness is the identity."""

    matrix: sp.bsr_matrix
    prolongation: sp.bsr_matrix
    restriction: sp.bsr_matrix
    turn: sp.bsr_matrix
    back: sp.bsr_matrix
    largest: float

    def smooth(self, load: np.ndarray) -> np.ndarray:
        """Chebyshev's polynomial of the matrix times the load."""
        high, low = self.largest, self.largest / SPAN
        middle, half = np.float32((high + low) / 2), np.float32((high - low) / 2)
        ratio = half / middle
        step = load / middle
        moved, left = step.copy(), load
        for _ in range(DEGREE - 1):
            left = left - multiply(self.matrix, step)
            following = 1 / (2 * middle / half - ratio)
            step = following * ratio * step + (2 * following / half) * left
            moved += step
            ratio = following
        return moved


@dataclass(frozen=True, slots=True, kw_only=True)
class IterativePlan:
    """Two levels whose corners' stiffness is analysed and not yet factored."""

    matrix: sp.bsr_matrix
    interpolation: sp.csr_matrix
    corners: DirectPlan

    @property
    def peak_bytes(self) -> float:
        """Memory that factoring and solving will take beyond the matrix itself."""
        single = np.float32().itemsize * self.matrix.data.size
        vectors = VECTORS * WIDTH * np.float64().itemsize * self.matrix.shape[0]
        return single + vectors + self.corners.peak_bytes

    def make(self) -> Multigrid:
        """Factor the corners' stiffness and scale the other."""
        return Multigrid(
            self.matrix, _fine(self.matrix, self.interpolation), self.corners.make()
        )


def plan_iterative(
    matrix: sp.bsr_matrix, interpolation: sp.csr_matrix, pinned: IntArray
) -> IterativePlan:
    """Analyse a stiffness for `Multigrid`.

    Parameters
    ----------
    matrix : (3 n, 3 n) in 3 x 3 blocks, positive definite but for rigid motions
    interpolation : (n, n_corner) of values at the corners to all nodes
    pinned : unknowns of corner nodes that hold a floating body, else empty
    """
    spread = _in_blocks(interpolation, interpolation.data[:, None, None] * np.eye(3))
    product = spread.T.tobsr((3, 3)) @ (matrix @ spread)
    corners = plan_direct(product.tocsr().astype(np.float32), pinned)
    return IterativePlan(matrix=matrix, interpolation=interpolation, corners=corners)


def _fine(matrix: sp.bsr_matrix, interpolation: sp.csr_matrix) -> _Fine:
    lower = np.linalg.cholesky(diagonal_blocks(matrix))
    halves = np.linalg.inv(lower)
    fine = scaled(matrix, halves)
    weights = interpolation.data.astype(np.float32)
    rows = np.repeat(np.arange(len(lower)), np.diff(interpolation.indptr))
    upper = lower.transpose(0, 2, 1).astype(np.float32)
    prolongation = _in_blocks(interpolation, weights[:, None, None] * upper[rows])
    single = halves.astype(np.float32)
    return _Fine(
        matrix=fine,
        prolongation=prolongation,
        restriction=prolongation.T.tobsr((3, 3)),
        turn=_diagonal(single),
        back=_diagonal(np.ascontiguousarray(single.transpose(0, 2, 1))),
        largest=_largest_eigenvalue(fine),
    )


def _in_blocks(pattern: sp.csr_matrix, blocks: np.ndarray) -> sp.bsr_matrix:
    """Blocks at the entries of a sparse matrix of nodes. (n_entry, 3, 3)."""
    shape = (3 * pattern.shape[0], 3 * pattern.shape[1])
    return sp.bsr_matrix((blocks, pattern.indices, pattern.indptr), shape=shape)


def _diagonal(blocks: np.ndarray) -> sp.bsr_matrix:
    """Block diagonal matrix. (n, 3, 3)."""
    places = (np.arange(len(blocks)), np.arange(len(blocks) + 1))
    return sp.bsr_matrix((blocks, *places))


def _largest_eigenvalue(matrix: sp.bsr_matrix) -> float:
    """Upper bound, by power iteration."""
    vector = np.random.default_rng(0).standard_normal((matrix.shape[0], 1))
    vector, size = vector.astype(np.float32), 1.0
    for _ in range(POWER_STEPS):
        vector = multiply(matrix, vector / np.float32(size))
        size = float(np.linalg.norm(vector))
    return MARGIN * size


def _dots(one: FloatArray, other: FloatArray) -> FloatArray:
    """Product of every column with its like. (n_load,)."""
    return np.asarray(np.einsum("ij,ij->j", one, other))


def _over(above: FloatArray, below: FloatArray) -> FloatArray:
    """Quotient; zero for a load that is solved to the last digit."""
    return np.divide(above, below, out=np.zeros_like(above), where=below > 0.0)
