"""Which solver a stiffness gets: by a factor, or by two levels where that is better."""

from typing import Protocol

import numpy as np
import scipy.sparse as sp

from fea.core.factor import DirectPlan, engine_name, plan_direct
from fea.core.memory import usable_bytes
from fea.core.multigrid import plan_iterative
from fea.core.ordering import quadratic_order
from fea.core.solid import Solid
from fea.core.sparse_products import multiply
from geometry.errors import SolveError
from geometry.mesh import IntArray
from geometry.pad import FloatArray

# From so many loads on a factor is faster: unknowns over this. Measured on the welded
# demo stack: on two cores 22 loads break even at 94,000 unknowns and 64 at 326,000, on
# one core 12 and 40, in single precision half as many. A factor's work grows with the
# square of the unknowns and a load's in proportion, so the number grows with them.
UNKNOWNS_PER_LOAD = 5000

# A factor's workspace holds at least so many numbers times unknowns^(4/3), the law of
# nested dissection in space: above what is free, the analysis is not worth its time.
LEAST_NUMBERS = 7.5

GIGABYTE = 1e9


class Solver(Protocol):
    """What solves a stiffness for loads, and multiplies by it. (n, m) to the same."""

    def solve(self, loads: FloatArray) -> FloatArray:
        """Return displacements under loads."""

    def times(self, vectors: FloatArray) -> FloatArray:
        """Return stiffness times displacements."""


class FactoredSolid:
    """A solid's stiffness, assembled, and its factor, which may be of single precision.

    Responses of a single precision factor are right to a hundredth in the root of
    their energy on large parts, and are not refined.
    """

    def __init__(self, stiffness: sp.bsr_matrix, plan: DirectPlan) -> None:
        self._stiffness, self._factor = stiffness, plan.make()
        self._single = plan.matrix.dtype == np.float32

    def solve(self, loads: FloatArray) -> FloatArray:
        """Return displacements under loads. (3 n, n_load) to the same."""
        if self._single:
            return self._factor.once(loads)
        return self._factor.solve(loads)

    def times(self, vectors: FloatArray) -> FloatArray:
        """Return stiffness times displacements. (3 n, m) to the same."""
        return multiply(self._stiffness, vectors)


def solver_for(
    solid: Solid, pinned: IntArray, loads: int, precision: type = np.float64
) -> Solver:
    """Choose, by the number of loads and by the memory that is free.

    Parameters
    ----------
    solid : its stiffness positive definite but for rigid motions
    pinned : unknowns of corner nodes that hold a floating body, else empty; the
        answer may differ by rigid motions
    loads : how many there will be, about
    precision : of a factor, if it gets one

    Raises
    ------
    SolveError
        The matrix is singular, or the memory suffices for neither way.
    """
    room, unknowns = usable_bytes(), 3 * solid.n_node
    if UNKNOWNS_PER_LOAD * loads > unknowns:
        direct = _factored(solid, pinned, room, precision)
        if direct is not None:
            return direct
    iterative = plan_iterative(solid, pinned)
    if iterative.peak_bytes > room:
        message = (
            f"{unknowns} unknowns need {iterative.peak_bytes / GIGABYTE:.1f} GB "
            f"to solve, and {room / GIGABYTE:.1f} GB may be used: close other "
            "programs, or make numerics.mesh_size larger"
        )
        raise SolveError(message)
    return iterative.make()


def solver_name() -> str:
    """Name what solves, for the record of a run."""
    return (
        f"{engine_name()}, parts in single precision and corrected in double; "
        "conjugate gradients on two levels for few loads or where a factor does not "
        "fit in memory"
    )


def _factored(
    solid: Solid, pinned: IntArray, room: float, precision: type
) -> FactoredSolid | None:
    """Factor, or return None and keep nothing if there is no room for it."""
    numbers = LEAST_NUMBERS * (3 * solid.n_node) ** (4 / 3)
    if numbers * np.dtype(precision).itemsize > room:
        return None
    stiffness = solid.stiffness()
    held = np.concatenate([pinned, solid.held_unknowns])
    matrix = stiffness.astype(precision, copy=False).tocsr()
    plan = plan_direct(matrix, held, quadratic_order(solid.mesh))
    if plan.peak_bytes > room:
        return None
    try:
        return FactoredSolid(stiffness, plan)
    except SolveError:
        if precision == np.float64:
            raise
        # So slender that single precision does not tell its softest shape from none.
        return _factored(solid, pinned, room, np.float64)
