"""Lowest natural frequencies of what is held, without a factor of its stiffness.

Locally optimal block conjugate gradients (Knyazev, SIAM J. Sci. Comput. 23 (2001) 517):
every step looks for the best modes among those of the last step, their preconditioned
residuals, and the last direction.
"""

from collections.abc import Callable

import numpy as np
import scipy.sparse as sp
from scipy.linalg import eigh

from fea.core.block_matrix import multiply
from fea.core.multigrid import Multigrid
from geometry.errors import SolveError
from geometry.pad import FloatArray

# Change of the wanted squared frequencies in a step, relative, at which they stand: as
# steps go the error shrinks by two thirds or more, so it is about as small.
SETTLED = 1e-7
MOST_STEPS = 60
SPARE = 4  # modes carried along so that the wanted ones converge
DEPENDENT = 1e-12  # part of a direction that is its own, below which it is dropped

Apply = Callable[[FloatArray], FloatArray]


def lowest_modes(
    stiffness: sp.bsr_matrix, inertia: Apply, solver: Multigrid, count: int
) -> FloatArray:
    """Return squared angular frequencies, the lowest first. (count,) [1/s²].

    Parameters
    ----------
    stiffness : (3 n, 3 n) in 3 x 3 blocks, positive definite
    inertia : mass times vectors
    solver : of the stiffness; its preconditioner is what is used
    count : number of modes

    Raises
    ------
    SolveError
        They do not settle.
    """
    start = np.random.default_rng(0).standard_normal((stiffness.shape[0], count + SPARE))
    basis = [_with_images(solver.precondition(inertia(start)), stiffness, inertia)]
    before = np.full(count, np.inf)
    for _ in range(MOST_STEPS):
        squared, modes, along = _best(basis, count + SPARE)
        lowest = squared[:count]
        if np.all(np.abs(lowest - before) <= SETTLED * lowest):
            return lowest
        before = lowest
        left = modes[1] - modes[2] * squared
        better = _with_images(solver.precondition(left), stiffness, inertia)
        basis = [modes, better, *along]
    message = f"the {count} lowest modes did not settle in {MOST_STEPS} steps"
    raise SolveError(message)


# Vectors, stiffness times them, mass times them; each (n_dof, m).
Images = tuple[FloatArray, FloatArray, FloatArray]


def _with_images(
    vectors: FloatArray, stiffness: sp.bsr_matrix, inertia: Apply
) -> Images:
    """Join their images to vectors, each scaled to a mass of one."""
    moved = inertia(vectors)
    size = np.sqrt(np.einsum("ij,ij->j", vectors, moved))
    vectors = vectors / size
    return vectors, multiply(stiffness, vectors), moved / size


def _best(
    basis: list[Images], count: int
) -> tuple[FloatArray, Images, list[Images]]:
    """Squared frequencies, modes, and how the modes differ from the basis' first."""
    strain, mass = (_products(basis, image) for image in (1, 2))
    values, turned = np.linalg.eigh(mass)
    kept = values > DEPENDENT * values[-1]
    own = turned[:, kept] / np.sqrt(values[kept])
    squared, mix = eigh(own.T @ strain @ own, subset_by_index=(0, count - 1))
    mix = own @ mix
    modes = _combined(basis, mix)
    if len(basis) == 1:
        return squared, modes, []
    mix[: basis[0][0].shape[1]] = 0.0
    size = np.sqrt(np.einsum("ij,ik,kj->j", mix, mass, mix))
    return squared, modes, [_combined(basis[1:], mix[basis[0][0].shape[1] :] / size)]


def _products(basis: list[Images], image: int) -> FloatArray:
    """Products of all vectors with their images under stiffness (1) or mass (2)."""
    rows = [[one[0].T @ other[image] for other in basis] for one in basis]
    full = np.block(rows)
    return np.asarray((full + full.T) / 2.0)


def _combined(basis: list[Images], mix: FloatArray) -> Images:
    edges = np.cumsum([0] + [part[0].shape[1] for part in basis])
    pieces = [mix[a:b] for a, b in zip(edges[:-1], edges[1:], strict=True)]
    first, second, third = (
        sum(
            (part[k] @ piece for part, piece in zip(basis[1:], pieces[1:], strict=True)),
            basis[0][k] @ pieces[0],
        )
        for k in range(3)
    )
    return first, second, third
