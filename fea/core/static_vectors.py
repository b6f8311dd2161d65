"""A part's responses to loads at rest, from a factor of single precision, put right.

Such a factor takes half the time and the memory of one in double precision, and its
responses are wrong: in the root of their energy by a thousandth on 50,000 unknowns, by
a hundredth on 200,000. Three things put that right, and say how far.

- The stiffness itself, in double precision, gives the best that can be made of the
  responses (Galerkin's method). Its compliance misses only the square of their error.
- What is missed lies in a few shapes of long waves, the same for all loads. So the
  residual is solved for in a few random mixtures of the loads, not load by load, and
  the answers join the responses (Halko, Martinsson and Tropp, SIAM Review 53 (2011)
  217, from memory: random mixtures find the range of a matrix that decays).
- The loads are mixed to do unit work on what moves under them, independently. The
  work of a mixture's residual on its answer is then, in the mean, the sum of all
  shares of compliance that were missed.
"""

import numpy as np
import scipy.sparse as sp

from fea.core.dense_products import add_product
from fea.core.elasticity import inertia
from fea.core.factor import BLOCK
from fea.core.free_part import FreePart
from fea.core.independent import independent
from geometry.errors import SolveError
from geometry.pad import FloatArray

DEPENDENT = 1e-11  # energy over the largest, below which a vector is a repeat

# Sum of the shares of compliance that may be missed before the last mixtures join: as
# much as contact polynomials of degree 5 miss. Afterwards it is a third to a hundredth.
MISSED = 1e-5
MIXTURES = 8
PASSES = 20  # ten times what usual meshes take, and as much work as solving twice


class StaticVectors:
    """Responses to loads, orthonormal in the stiffness, as sums of approximate ones.

    Parameters
    ----------
    part : what answers, roughly
    rows : (n_load, n_dof) loads

    Raises
    ------
    SolveError
        The responses do not become right.
    """

    def __init__(self, part: FreePart, rows: sp.csr_matrix) -> None:
        self._part, self._rows = part, rows
        self._rough: list[FloatArray] = []
        self._energy, self._momentum = np.empty((0, 0)), np.empty((0, 0))
        self._work = np.empty((0, rows.shape[0]))
        loads = rows.T.tocsc()
        for first in range(0, rows.shape[0], BLOCK):
            self._add(loads[:, first : first + BLOCK])
        random = np.random.default_rng(0)
        for _ in range(PASSES):
            mix, unit = self._best()
            seeds = random.standard_normal((mix.shape[1], MIXTURES))
            moved = np.empty((rows.shape[1], MIXTURES))
            self._write_mixed(mix @ seeds, moved)
            left = rows.T @ (unit @ seeds)
            # Balanced while it is large: of what is left little may be out of balance.
            part.balance(left)
            left -= part.times(moved)
            found = self._add(left)
            if np.einsum("ij,ij->", found, left) <= MISSED * MIXTURES:
                self._mix, _ = self._best()
                return
        message = (
            f"responses of a part missed more than {MISSED:g} of its compliance after "
            f"{PASSES} passes: the mesh holds badly shaped elements; change "
            "numerics.mesh_size a little"
        )
        raise SolveError(message)

    @property
    def count(self) -> int:
        """Number of independent responses."""
        return int(self._mix.shape[1])

    @property
    def mass(self) -> FloatArray:
        """Products of the vectors in the part's mass. (count, count)."""
        return np.asarray(self._mix.T @ self._momentum @ self._mix)

    @property
    def moments(self) -> FloatArray:
        """Work of every load on every vector. (n_load, count)."""
        return np.asarray(self._work.T @ self._mix)

    def write(self, out: FloatArray) -> None:
        """Write the vectors, once: what they are made of is then let go.

        (n_dof, count), contiguous.
        """
        self._write_mixed(self._mix, out)
        self._rough.clear()

    def _write_mixed(self, mix: FloatArray, out: FloatArray) -> None:
        """Write sums of rough vectors. (n_rough, n), (n_dof, n)."""
        out[:] = 0.0
        ends = np.cumsum([block.shape[1] for block in self._rough])
        for block, own in zip(self._rough, np.split(mix, ends[:-1]), strict=True):
            add_product(out, block, own)

    def _add(self, loads: sp.csc_matrix | FloatArray) -> FloatArray:
        """Add the part's answers to loads to the rough vectors, and return them."""
        found = self._part.respond(loads)
        self._rough.append(found)
        self._energy = self._extended(self._energy, self._part.times(found))
        if not np.all(np.isfinite(self._energy)):
            message = f"a part of {len(found)} unknowns has a singular stiffness"
            raise SolveError(message)
        momentum = inertia(self._part.mass, found)
        self._momentum = self._extended(self._momentum, momentum)
        self._work = np.vstack([self._work, (self._rows @ found).T])
        return found

    def _extended(self, gram: FloatArray, forces: FloatArray) -> FloatArray:
        """Join all rough vectors' products with the forces of the last of them."""
        shared = np.vstack([block.T @ forces for block in self._rough])
        before, own = np.split(shared, [len(gram)])
        return np.block([[gram, before], [before.T, own]])

    def _best(self) -> tuple[FloatArray, FloatArray]:
        """Rough vectors and loads, each mixed to unit work of one on the other.

        (n_rough, n), (n_load, n).
        """
        white = independent(self._energy, DEPENDENT)
        shares = white.T @ self._work
        unit = independent(shares.T @ shares, DEPENDENT)
        return white @ (shares @ unit), unit
