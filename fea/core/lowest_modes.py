"""Lowest natural frequencies of what is held, without a factor of its stiffness.

Locally optimal block conjugate gradients (Knyazev, SIAM J. Sci. Comput. 23 (2001) 517):
every step looks for the best modes among those of the last step, their preconditioned
residuals, and the last direction.
"""

import numpy as np
import scipy.sparse as sp
from scipy.linalg import eigh

from fea.core.elasticity import inertia
from fea.core.multigrid import Multigrid
from geometry.errors import SolveError
from geometry.pad import FloatArray

# Change of the wanted squared frequencies in a step, relative, at which they stand.
# Measured: what is left then is a hundredth of it.
SETTLED = 1e-5
MOST_STEPS = 60
SPARE = 4  # modes carried along so that the wanted ones converge
DEPENDENT = 1e-12  # part of a direction that is its own, below which it is dropped

# Rows that are mixed at a time, so that no second copy of all of them is needed.
ROWS = 4096


def lowest_modes(solver: Multigrid, mass: sp.csr_matrix, count: int) -> FloatArray:
    """Return squared angular frequencies, the lowest first. (count,) [1/s²].

    Parameters
    ----------
    solver : of the stiffness, positive definite; it preconditions
    mass : (n_node, n_node), the same for every component
    count : number of modes

    Raises
    ------
    SolveError
        They do not settle.
    """
    width, n_dof = count + SPARE, 3 * mass.shape[0]
    # Modes, the last direction and the residuals side by side, and stiffness times
    # them; mass times them takes less time than the memory that it would fill.
    vectors, pushed = (np.empty((n_dof, 3 * width)) for _ in range(2))
    left = inertia(mass, np.random.default_rng(0).standard_normal((n_dof, width)))
    used, before = 0, np.full(count, np.inf)
    for _ in range(MOST_STEPS):
        fresh, every = slice(used, used + width), slice(used + width)
        vectors[:, fresh] = _of_unit_mass(solver.precondition(left), mass)
        pushed[:, fresh] = solver.times(vectors[:, fresh])
        strain = vectors[:, every].T @ pushed[:, every]
        squared, mix = _best(strain, _gram(vectors[:, every], mass, width), width)
        used = mix.shape[1]
        for image in (vectors, pushed):
            _turn(image[:, every], mix)
        lowest = squared[:count]
        if np.all(np.abs(lowest - before) <= SETTLED * lowest):
            return lowest
        before = lowest
        left = pushed[:, :width] - inertia(mass, vectors[:, :width]) * squared
    message = f"the {count} lowest modes did not settle in {MOST_STEPS} steps"
    raise SolveError(message)


def _of_unit_mass(vectors: FloatArray, mass: sp.csr_matrix) -> FloatArray:
    """Scale every vector to a mass of one."""
    masses = np.einsum("ij,ij->j", vectors, inertia(mass, vectors))
    return np.asarray(vectors / np.sqrt(masses))


def _gram(vectors: FloatArray, mass: sp.csr_matrix, width: int) -> FloatArray:
    """Products of vectors in the mass, some columns at a time. (n_dof, n) to (n, n)."""
    n = vectors.shape[1]
    gram = np.empty((n, n))
    for first in range(0, n, width):
        columns = slice(first, first + width)
        gram[:, columns] = vectors.T @ inertia(mass, vectors[:, columns])
    return gram


def _turn(image: FloatArray, mix: FloatArray) -> None:
    """Put mixtures (n, k) of all columns (n_dof, n) in the place of the first."""
    for first in range(0, len(image), ROWS):
        rows = image[first : first + ROWS]
        rows[:, : mix.shape[1]] = rows @ mix


def _best(
    strain: FloatArray, mass: FloatArray, width: int
) -> tuple[FloatArray, FloatArray]:
    """Squared frequencies, and the mixtures that are modes and their last direction.

    Products in stiffness and mass, (n, n) both, to (width,) and (n, width), or
    (n, 2 width) after a step before: the direction is what a mode is made of beyond the
    modes of the last step.
    """
    strain, mass = _symmetric(strain), _symmetric(mass)
    values, turned = np.linalg.eigh(mass)
    kept = values > DEPENDENT * values[-1]
    own = turned[:, kept] / np.sqrt(values[kept])
    squared, mix = eigh(own.T @ strain @ own, subset_by_index=(0, width - 1))
    mix = own @ mix
    if len(mix) == width:
        return squared, mix
    along = mix.copy()
    along[:width] = 0.0
    along /= np.sqrt(np.einsum("ij,ik,kj->j", along, mass, along))
    return squared, np.hstack([mix, along])


def _symmetric(matrix: FloatArray) -> FloatArray:
    return np.asarray((matrix + matrix.T) / 2.0)
