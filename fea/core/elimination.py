"""In which order a sparse symmetric matrix is eliminated, and the fronts that do it.

Unknowns that touch the same others, such as the three displacements of a node, go
together as one node of a graph. Nested dissection orders the nodes (METIS: Karypis and
Kumar, SIAM Journal on Scientific Computing 20 (1998) 359, from memory). Nodes that
follow each other and touch nearly the same later ones make up a front: a dense matrix
that eliminates them at one go and leaves the rest of itself to its parent (Liu, SIAM
Review 34 (1992) 82, from memory).
"""

from dataclasses import dataclass
from importlib import import_module
from importlib.metadata import version

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import spilu

from fea.core.front_plans import counts, fronts, postorder, quotient, rows, tree
from fea.core.kernels import Int32
from geometry.mesh import IntArray

# Up to which width a front may hold which share of zeros, which the products with whole
# blocks earn back. Within these twofold either way the time stays the same.
ZEROS = np.array([[12.0, 1.0], [48.0, 0.5], [120.0, 0.2], [np.inf, 0.05]])

COUPLING = 1e-9  # small, so that the incomplete factor that orders keeps nothing of it


@dataclass(frozen=True, slots=True, kw_only=True)
class Elimination:
    """Fronts, in the order in which they eliminate: children before their parents.

    Parameters
    ----------
    order : (n,) the unknown at each place
    first : (n_front + 1,) the place from which on each front eliminates
    starts, below : (n_front + 1,), (n_below,) the later places that each front touches
    parent : (n_front,) the front that takes what a front leaves; -1 for none
    """

    order: Int32
    first: IntArray
    starts: IntArray
    below: Int32
    parent: Int32

    @property
    def widths(self) -> IntArray:
        """Unknowns that each front eliminates. (n_front,)."""
        return np.diff(self.first)

    @property
    def heights(self) -> IntArray:
        """Unknowns that each front touches beyond them. (n_front,)."""
        return np.diff(self.starts)

    def rows(self, front: int) -> Int32:
        """Later places that a front touches. (height,)."""
        touched: Int32 = self.below[self.starts[front] : self.starts[front + 1]]
        return touched


def plan_elimination(matrix: sp.csr_matrix) -> Elimination:
    """Plan the elimination of a matrix of symmetric pattern. (n, n)."""
    starts = matrix.indptr.astype(np.int32, copy=False)
    columns = matrix.indices.astype(np.int32, copy=False)
    first, links, ends = quotient(starts, columns)
    order = _least_fill(links, ends)
    order = order[postorder(tree(links, ends, order))]
    parent = tree(links, ends, order)
    sizes = np.diff(first)[order]
    start = fronts(parent, counts(links, ends, order, parent, sizes), sizes, ZEROS)
    touched, below, takes = rows(links, ends, order, start)
    places = np.concatenate([[0], np.cumsum(sizes)])
    spread = np.concatenate([[0], np.cumsum(sizes[below])])
    return Elimination(
        order=_unknowns(first[order], sizes),
        first=places[start],
        starts=spread[touched],
        below=_unknowns(places[below], sizes[below]),
        parent=takes,
    )


def order_name() -> str:
    """Name what orders, and its version, for the record of a run."""
    if _metis_present():
        return f"nested dissection by METIS (pymetis {version('pymetis')})"
    return f"minimum degree by SuperLU (scipy {version('scipy')})"


def _unknowns(first: IntArray, sizes: IntArray) -> Int32:
    """Return the unknowns of nodes, one after the other. (n,), (n,) to (n_unknown,)."""
    before = np.cumsum(sizes) - sizes
    return (np.repeat(first - before, sizes) + np.arange(sizes.sum())).astype(np.int32)


def _least_fill(links: Int32, ends: Int32) -> Int32:
    """Order the nodes of a graph so that eliminating them fills little. (n_node,)."""
    if _metis_present():
        metis = import_module("pymetis")
        order, _ = metis.nested_dissection(metis.CSRAdjacency(links, ends))
        return np.asarray(order).astype(np.int32)
    # SciPy has a minimum degree order only as a part of its factors.
    size, weights = len(links) - 1, np.full(len(ends), COUPLING)
    graph = sp.csc_matrix((weights, ends, links), shape=(size, size))
    factor = spilu(
        graph + sp.identity(size, format="csc"),
        drop_tol=1.0,
        fill_factor=1.0,
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    return np.argsort(factor.perm_c).astype(np.int32)


def _metis_present() -> bool:
    try:
        import_module("pymetis")
    except ImportError:
        return False
    return True
