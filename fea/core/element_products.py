"""A stiffness as what multiplies vectors, element by element: nothing is assembled.

Elements that lie together form a group, which reads the displacement of its nodes once
and keeps what it pushes them with in places of its own; a second pass sums the places
of every node. The groups do not depend on the number of threads, nor do the sums.
"""

from itertools import pairwise
from typing import NamedTuple

import numpy as np
import scipy.sparse as sp
from scipy.spatial import cKDTree

from fea.core.elasticity import CORNER_SLOPES, LINEAR_PRODUCTS
from fea.core.element_kernels import GEOMETRY, LANES, NOBODY, push_groups
from fea.core.kernels import Int32, relax_rows
from fea.core.sparse_products import mixed
from fea.core.threads import over_rows
from geometry.pad import FloatArray

# Elements of a group: its nodes' displacements stay in a core's own cache.
GROUP = 512

KINDS = (np.dtype(np.float32), np.dtype(np.float64))

# Of every corner (4) and coordinate (4): the second node that the derivative of a
# displacement by the coordinate depends on, and the weights of both.
SECOND = np.full((4, 4), NOBODY, dtype=np.int32)
WEIGHTS = np.zeros((2, 4, 4))
for _corner in range(4):
    for _k in range(4):
        WEIGHTS[0, _corner, _k] = CORNER_SLOPES[_k, _corner, _k]
        for _node in np.flatnonzero(CORNER_SLOPES[4:, _corner, _k]) + 4:
            SECOND[_corner, _k] = _node
            WEIGHTS[1, _corner, _k] = CORNER_SLOPES[_node, _corner, _k]


class ElementProducts:
    """Product of the stiffness of quadratic tetrahedra with displacements.

    Parameters
    ----------
    nodes : (n_tet, 10)
    points : (n_tet, 3) of the elements' middles [mm]
    geometry : gradients of coordinates 1 to 3 (n_tet, 3, 3) [1/mm], volumes (n_tet,)
    lame : both constants [MPa]
    held : (n_node,) of bool: nodes that give no force, and are taken not to move
    """

    def __init__(
        self,
        nodes: Int32,
        points: FloatArray,
        geometry: tuple[FloatArray, FloatArray],
        lame: FloatArray,
        held: np.ndarray,
    ) -> None:
        order = cKDTree(points, leafsize=GROUP).tree.indices
        edges = np.arange(0, len(nodes) + GROUP, GROUP).clip(max=len(nodes))
        starts = np.zeros(len(edges), dtype=np.int32)
        places, at = np.empty(nodes.shape, dtype=np.int32), []
        for k, (first, last) in enumerate(pairwise(edges)):
            inside = nodes[order[first:last]]
            own = np.unique(inside)
            places[first:last] = np.searchsorted(own, inside)
            starts[k + 1] = starts[k] + len(own)
            at.append(own)
        batches = (-(-edges // LANES)).astype(np.int32)
        self._groups = (batches, starts, np.concatenate(at))
        own_places = _in_lanes(places)
        self._elements = {
            kind: (own_places, _in_lanes(_packed(geometry, lame, kind)[order]))
            for kind in KINDS
        }
        self._sums = _sums(self._groups[2], held)

    @property
    def groups(self) -> int:
        """How many groups the elements form."""
        return len(self._groups[0]) - 1

    @property
    def bytes(self) -> int:
        """Memory that it keeps."""
        (places, single), (_, double) = self._elements.values()
        return places.nbytes + single.nbytes + double.nbytes

    def pushed(self, vectors: np.ndarray) -> "Pushed":
        """Return what every group pushes its nodes with, for these to be summed.

        `vectors` (3 n_node, m), of single or double precision.
        """
        width = vectors.shape[1]
        given = np.ascontiguousarray(vectors).reshape(-1, 3, width)
        out = np.empty((len(self._groups[2]), 3, width), vectors.dtype)
        table = (SECOND, WEIGHTS.astype(vectors.dtype))
        work = (self._groups, self._elements[vectors.dtype], table, given, out)
        over_rows(push_groups, self.groups, *work, fewest=2)
        return Pushed(self._sums, out)

    def times(self, vectors: np.ndarray) -> np.ndarray:
        """Return stiffness times vectors. (3 n_node, m) to the same."""
        sums, out = self.pushed(vectors)
        width = vectors.shape[1]
        return mixed(sums, out.reshape(-1, 3 * width)).reshape(-1, width)


class Pushed(NamedTuple):
    """What groups of elements push their nodes with.

    Parameters
    ----------
    sums : (n_node, n_place) of ones, where a place is a node's
    at : (n_place, 3, m)
    """

    sums: sp.csr_matrix
    at: np.ndarray


def relax(
    inverse: np.ndarray,
    pushed: Pushed | None,
    pace: tuple[float, float],
    state: tuple[np.ndarray, np.ndarray, np.ndarray],
) -> None:
    """Take a step of a smoothing polynomial.

    Parameters
    ----------
    inverse : (n_node, 3, 3) of every node's own stiffness
    pushed : what the last step pushes with, if there was one
    pace : how much of the last step goes into the next, and how much of what is left
    state : what is left of the load, the last step, the displacement: all (3 n_node,
        m), changed in place
    """
    n_node, width = len(inverse), state[0].shape[1]
    kind = inverse.dtype
    if pushed is None:
        places = (np.zeros(n_node + 1, np.int32), np.empty(0, np.int32))
        at = np.empty((0, 3, width), kind)
    else:
        places, at = (pushed.sums.indptr, pushed.sums.indices), pushed.at
    by_node = tuple(part.reshape(n_node, 3, width) for part in state)
    given = (places, at, inverse, np.array(pace, kind), by_node)
    over_rows(relax_rows, n_node, *given)


def _packed(
    geometry: tuple[FloatArray, FloatArray], lame: FloatArray, kind: np.dtype
) -> np.ndarray:
    """Put all that the compiled loops read of an element in a row. (n_tet, 11)."""
    gradients, volumes = geometry
    packed = np.empty((len(volumes), GEOMETRY), kind)
    packed[:, :9] = gradients.reshape(-1, 9)
    packed[:, 9:] = volumes[:, None] * lame / LINEAR_PRODUCTS
    return packed


def _in_lanes(rows: np.ndarray) -> np.ndarray:
    """Rows of elements, `LANES` of them last; zeros fill up. (n_batch, k, lanes)."""
    n_batch = -(-len(rows) // LANES)
    filled = np.zeros((n_batch * LANES, rows.shape[1]), rows.dtype)
    filled[: len(rows)] = rows
    return np.ascontiguousarray(filled.reshape(n_batch, LANES, -1).transpose(0, 2, 1))


def _sums(at: Int32, held: np.ndarray) -> sp.csr_matrix:
    """Sum of the places of every node that is not held. (n_node, n_place)."""
    places = np.flatnonzero(~held[at])
    ones = np.ones(len(places), np.float32)
    return sp.csr_matrix((ones, (at[places], places)), shape=(len(held), len(at)))
