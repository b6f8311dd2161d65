"""Which solver a stiffness gets: by a factor, or by two levels where that is better."""

from typing import Protocol

import scipy.sparse as sp

from fea.core.factor import DirectPlan, engine_name, plan_direct
from fea.core.memory import usable_bytes
from fea.core.multigrid import plan_iterative
from geometry.errors import SolveError
from geometry.mesh import IntArray
from geometry.pad import FloatArray

# From so many loads on a factor is faster: unknowns over this. Measured on the welded
# demo stack of 94,000 unknowns, where 20 loads break even; a factor's work grows with
# the square of the unknowns and a load's in proportion, so the number grows with them.
UNKNOWNS_PER_LOAD = 5000

# Bytes of a factor's workspace are at least these times unknowns^(4/3), the law of
# nested dissection in space: above what is free, the analysis is not worth its time.
LEAST_BYTES = 60.0

GIGABYTE = 1e9


class Solver(Protocol):
    """What solves a stiffness for loads. (n, n_load) to the same."""

    def solve(self, loads: FloatArray) -> FloatArray:
        """Return displacements under loads."""


def solver_for(
    matrix: sp.bsr_matrix, interpolation: sp.csr_matrix, pinned: IntArray, loads: int
) -> Solver:
    """Choose, by the number of loads and by the memory that is free.

    Parameters
    ----------
    matrix : (3 n, 3 n) in 3 x 3 blocks, positive definite but for rigid motions
    interpolation : (n, n_corner) of values at the corners to all nodes
    pinned : unknowns of corner nodes that hold a floating body, else empty; the
        answer may differ by rigid motions
    loads : how many there will be, about

    Raises
    ------
    SolveError
        The matrix is singular, or the memory suffices for neither way.
    """
    room = usable_bytes()
    if UNKNOWNS_PER_LOAD * loads > matrix.shape[0]:
        direct = _direct(matrix, pinned, room)
        if direct is not None and direct.peak_bytes <= room:
            return direct.make()
    iterative = plan_iterative(matrix, interpolation, pinned)
    if iterative.peak_bytes > room:
        message = (
            f"{matrix.shape[0]} unknowns need {iterative.peak_bytes / GIGABYTE:.1f} GB "
            f"to solve, and {room / GIGABYTE:.1f} GB may be used: close other "
            "programs, or make numerics.mesh_size larger"
        )
        raise SolveError(message)
    return iterative.make()


def solver_name() -> str:
    """Name what solves, for the record of a run."""
    return (
        f"{engine_name()}; conjugate gradients on two levels for few loads or where a "
        "factor does not fit in memory"
    )


def _direct(matrix: sp.bsr_matrix, pinned: IntArray, room: float) -> DirectPlan | None:
    """Return the analysed matrix, or None if it clearly cannot be factored."""
    if LEAST_BYTES * matrix.shape[0] ** (4 / 3) > room:
        return None
    return plan_direct(matrix.tocsr(), pinned)
