"""A free part's response to balanced loads: no support, no artificial spring."""

import numpy as np
import scipy.sparse as sp
from scipy.linalg import qr

from fea.core.dense_products import add_product
from fea.core.elasticity import inertia
from fea.core.factor import BLOCK
from fea.core.solid import Solid
from fea.core.solver import solver_for
from geometry.mesh import IntArray
from geometry.pad import FloatArray


class FreePart:
    """The generalised inverse K+ of a floating part, by inertia relief.

    Six unknowns at three well-spread nodes are pinned, loads are balanced by the
    inertia of the rigid motions R, P = I - M R (R' M R)^-1 R', and
    K+ = P' K_pinned^-1 P, which does not depend on the choice of the pinned unknowns.

    Parameters
    ----------
    solid : of which nothing is held
    loads : how many there will be, about
    precision : of a factor; after single precision responses are to be put right, as
        `fea.core.static_vectors` does
    """

    def __init__(self, solid: Solid, loads: int, precision: type = np.float64) -> None:
        rigid = solid.rigid
        pinned = _well_spread_unknowns(rigid, solid.points)
        self._solver = solver_for(solid, pinned, loads, precision)
        self.times = self._solver.times
        self.mass = solid.mass
        values, turned = np.linalg.eigh(rigid.T @ inertia(self.mass, rigid))
        self.rigid = rigid @ (turned / np.sqrt(values))
        self._momentum = inertia(self.mass, self.rigid)

    def respond(self, loads: sp.csc_matrix | FloatArray) -> FloatArray:
        """Elastic displacement under loads and the inertia that balances them.

        (n_dof, n_load) to (n_dof, n_load); mass-orthogonal to every rigid motion.
        """
        found = np.empty(loads.shape)
        for first in range(0, loads.shape[1], BLOCK):
            columns = slice(first, first + BLOCK)
            found[:, columns] = self._respond(_dense(loads[:, columns]))
        return found

    def balance(self, loads: FloatArray) -> None:
        """Add the inertia that balances loads, in place. (n_dof, n), contiguous."""
        add_product(loads, self._momentum, self.rigid.T @ loads, -1.0)

    def _respond(self, loads: FloatArray) -> FloatArray:
        self.balance(loads)
        found = np.ascontiguousarray(self._solver.solve(loads), dtype=np.float64)
        add_product(found, self.rigid, self._momentum.T @ found, -1.0)
        return found


def _dense(loads: sp.csc_matrix | FloatArray) -> FloatArray:
    """Return a copy that may be written to, contiguous."""
    return loads.toarray() if sp.issparse(loads) else np.array(loads, order="C")


def _well_spread_unknowns(rigid: FloatArray, nodes: FloatArray) -> IntArray:
    """Six unknowns at three far-apart nodes whose rigid motions are independent."""
    first = int(np.argmin(nodes.sum(axis=1)))
    reach = np.linalg.norm(nodes - nodes[first], axis=1)
    second = int(np.argmax(reach))
    side = np.cross(nodes - nodes[first], nodes[second] - nodes[first])
    third = int(np.argmax(np.linalg.norm(side, axis=1)))
    candidates = (3 * np.array([first, second, third])[:, None] + np.arange(3)).ravel()
    rows = rigid[candidates] / np.abs(rigid[candidates]).max(axis=0)
    _, _, order = qr(rows.T, pivoting=True)
    return np.asarray(candidates[order[:6]])
