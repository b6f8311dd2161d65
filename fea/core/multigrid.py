"""Conjugate gradients with two levels: all nodes, and the corners alone.

What is linear between the corners is a stiffness of an eighth of the unknowns, which a
factor solves; what the edge middles add is short-waved and left to a polynomial
smoother. The linear functions hold every rigid motion, which is what makes an iterative
solver of elasticity converge, and mesh size costs no iterations. The stiffness of all
nodes is never assembled. Preconditioning is done in single precision, and takes as many
steps as in double.
"""

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from fea.core.elasticity import corner_interpolation
from fea.core.element_products import ElementProducts, relax
from fea.core.factor import DirectPlan, Factor, plan_direct
from fea.core.solid import Solid
from fea.core.sparse_products import mixed
from fea.core.threads import on_one_blas_thread
from geometry.errors import SolveError
from geometry.mesh import IntArray
from geometry.pad import FloatArray

# Relative to the load; displacements are then right to about 1e-11.
RESIDUAL = 1e-9
MOST_ITERATIONS = 150  # ten times what meshes of usable elements take

# Degree of the smoothing polynomial, and the part of the spectrum that it damps.
# Degrees 2, 4 and 5 with spans in proportion take a tenth to a quarter longer.
DEGREE = 3
SPAN = 10.0

# Power iteration comes at the largest eigenvalue from below; what is added covers that.
POWER_STEPS = 15
MARGIN = 1.1

VECTORS = 12  # as long as a load that are alive at once, for the memory they take
WIDTH = 16  # loads solved at a time: more of them do not fit the processor's cache


class Multigrid:
    """Solver for a solid's stiffness, for few loads.

    Made by `plan_iterative(...).make()`. Loads on a floating body must be balanced; the
    answer is then right but for rigid motions. What is held takes no load and does not
    move.
    """

    def __init__(
        self, solid: Solid, smoother: "_Smoother", corners: "_Corners"
    ) -> None:
        self._held = solid.held_unknowns
        self.times = solid.products.times
        self._smoother, self._corners = smoother, corners

    @on_one_blas_thread
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
            block = np.array(loads[:, columns], order="C")
            block[self._held] = 0.0
            found[:, columns] = self._block(block)
        return found

    def precondition(self, residual: FloatArray) -> FloatArray:
        """Return an approximate solution: smooth, correct by the corners, smooth."""
        size = np.abs(residual).max(axis=0) + np.finfo(float).tiny
        left = (residual / size).astype(np.float32)
        moved = np.zeros_like(left)
        last = self._smoother.smooth(left, moved)
        left -= self.times(last)
        lift = self._corners.solve(left)
        moved += lift
        left -= self.times(lift)
        self._smoother.smooth(left, moved)
        return np.asarray(moved * size)

    def _block(self, loads: FloatArray) -> FloatArray:
        """Flexible conjugate gradients: single precision makes the inner solve vary."""
        limit = RESIDUAL * np.linalg.norm(loads, axis=0)
        found, left = np.zeros_like(loads), loads
        better = self.precondition(left)
        along, gain = better, _dots(better, left)
        for _ in range(MOST_ITERATIONS):
            pushed = self.times(along)
            work = _over(_dots(along, left), _dots(along, pushed))
            found += work * along
            left -= work * pushed
            if np.all(np.linalg.norm(left, axis=0) <= limit):
                return found
            better = self.precondition(left)
            # The last residual less this one is work times what was pushed.
            turn = _over(-work * _dots(better, pushed), gain)
            along = better + turn * along
            gain = _dots(better, left)
        message = (
            f"conjugate gradients did not settle in {MOST_ITERATIONS} steps on "
            f"{len(loads)} unknowns: the mesh holds badly shaped elements; change "
            "numerics.mesh_size a little"
        )
        raise SolveError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Smoother:
    """Chebyshev's polynomial of the stiffness, every node's own stiffness divided out.

    Parameters
    ----------
    products : of the stiffness
    inverse : (n, 3, 3) of the nodes' own stiffness, single precision; zero where held
    largest : upper bound of the eigenvalues of inverse times stiffness
    """

    products: ElementProducts
    inverse: np.ndarray
    largest: float

    def smooth(self, left: np.ndarray, moved: np.ndarray) -> np.ndarray:
        """Add the polynomial times what is left of a load to a displacement.

        Parameters
        ----------
        left : (3 n, m), single precision; changed in place to what the steps leave of
            it, without the push of the last
        moved : (3 n, m), changed in place

        Returns
        -------
        (3 n, m), the last step
        """
        high, low = self.largest, self.largest / SPAN
        middle, half = (high + low) / 2, (high - low) / 2
        step = np.zeros_like(left)
        relax(self.inverse, None, (0.0, 1 / middle), (left, step, moved))
        ratio = half / middle
        for _ in range(DEGREE - 1):
            following = 1 / (2 * middle / half - ratio)
            pace = (following * ratio, 2 * following / half)
            pushed = self.products.pushed(step)
            relax(self.inverse, pushed, pace, (left, step, moved))
            ratio = following
        return step


@dataclass(frozen=True, slots=True, kw_only=True)
class _Corners:
    """What the corners alone answer.

    Parameters
    ----------
    factor : of their stiffness, single precision
    lift, gather : from the corners to all nodes and back, (n, n_corner) and transposed
    """

    factor: Factor
    lift: sp.csr_matrix
    gather: sp.csr_matrix

    def solve(self, loads: np.ndarray) -> np.ndarray:
        """Return the displacement of all nodes. (3 n, m) to the same."""
        width = loads.shape[1]
        gathered = mixed(self.gather, loads.reshape(-1, 3 * width))
        corners = self.factor.once(gathered.reshape(-1, width))
        return mixed(self.lift, corners.reshape(-1, 3 * width)).reshape(-1, width)


@dataclass(frozen=True, slots=True, kw_only=True)
class IterativePlan:
    """Two levels whose corners' stiffness is analysed and not yet factored."""

    solid: Solid
    corners: DirectPlan

    @property
    def peak_bytes(self) -> float:
        """Memory that factoring and solving will take."""
        vectors = VECTORS * WIDTH * np.float64().itemsize * 3 * self.solid.n_node
        return vectors + self.solid.products.bytes + self.corners.peak_bytes

    def make(self) -> Multigrid:
        """Factor the corners' stiffness."""
        interpolation = corner_interpolation(self.solid.mesh).astype(np.float32)
        corners = _Corners(
            factor=self.corners.make(),
            lift=interpolation,
            gather=interpolation.T.tocsr(),
        )
        return Multigrid(self.solid, _smoother(self.solid), corners)


def plan_iterative(solid: Solid, pinned: IntArray) -> IterativePlan:
    """Analyse a solid's stiffness for `Multigrid`.

    Parameters
    ----------
    solid : its stiffness positive definite but for rigid motions
    pinned : unknowns of corner nodes that hold a floating body, else empty
    """
    n_corner = 3 * int(solid.mesh.nvertices)
    held = solid.held_unknowns
    pinned = np.concatenate([pinned, held[held < n_corner]])
    stiffness = solid.corner_stiffness().tocsr().astype(np.float32)
    return IterativePlan(solid=solid, corners=plan_direct(stiffness, pinned))


def _smoother(solid: Solid) -> _Smoother:
    inverse = np.linalg.inv(solid.diagonal()).astype(np.float32)
    inverse[solid.held] = 0.0
    largest = _largest_eigenvalue(solid.products, inverse)
    return _Smoother(products=solid.products, inverse=inverse, largest=largest)


def _largest_eigenvalue(products: ElementProducts, inverse: np.ndarray) -> float:
    """Upper bound for inverse times stiffness, by power iteration."""
    random = np.random.default_rng(0).standard_normal((3 * len(inverse), 1))
    vector, size = random.astype(np.float32), 1.0
    for _ in range(POWER_STEPS):
        pushed = products.times(vector / np.float32(size)).reshape(-1, 3)
        vector = np.einsum("nxy,ny->nx", inverse, pushed).reshape(-1, 1)
        size = float(np.linalg.norm(vector))
    return MARGIN * size


def _dots(one: FloatArray, other: FloatArray) -> FloatArray:
    """Product of every column with its like. (n_load,)."""
    return np.asarray(np.einsum("ij,ij->j", one, other))


def _over(above: FloatArray, below: FloatArray) -> FloatArray:
    """Quotient; zero for a load that is solved to the last digit."""
    return np.divide(above, below, out=np.zeros_like(above), where=below > 0.0)
