"""In which order a sparse symmetric matrix is eliminated, and the fronts that do it.

Unknowns that touch the same others, such as the three displacements of a node, go
together as one node of a graph. Nodes that follow each other and touch nearly the same
later ones make up a front: a dense matrix that eliminates them at one go and leaves the
rest of itself to its parent (Liu, SIAM Review 34 (1992) 82, from memory).
"""

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from fea.core.front_plans import (
    counts,
    fronts,
    places,
    postorder,
    quotient,
    rows,
    tree,
)
from fea.core.kernels import Int32
from fea.core.ordering import least_fill
from geometry.mesh import IntArray

# Up to which width a front may hold which share of zeros, which the products with whole
# blocks earn back. Half or twice these widths and shares take up to a tenth longer.
ZEROS = np.array([[12.0, 1.0], [48.0, 0.5], [120.0, 0.2], [np.inf, 0.05]])


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


def plan_elimination(matrix: sp.csr_matrix, order: Int32 | None = None) -> Elimination:
    """Plan the elimination of a matrix of symmetric pattern.

    Parameters
    ----------
    matrix : (n, n)
    order : (n,) unknowns in an order that fills little, if it is known
    """
    first, links, ends = quotient(*pattern(matrix))
    nodes = least_fill(links, ends) if order is None else _node_order(order, first)
    nodes = nodes[postorder(tree(links, ends, nodes))]
    parent = tree(links, ends, nodes)
    sizes = np.diff(first)[nodes]
    start = fronts(parent, counts(links, ends, nodes, parent, sizes), sizes, ZEROS)
    touched, below, takes = rows(links, ends, nodes, start)
    offsets = np.concatenate([[0], np.cumsum(sizes)])
    spread = np.concatenate([[0], np.cumsum(sizes[below])])
    return Elimination(
        order=_unknowns(first[nodes], sizes),
        first=offsets[start],
        starts=spread[touched],
        below=_unknowns(offsets[below], sizes[below]),
        parent=takes,
    )


def pattern(matrix: sp.csr_matrix) -> tuple[Int32, Int32]:
    """Row starts and columns of a matrix, as compiled loops read them."""
    return (
        matrix.indptr.astype(np.int32, copy=False),
        matrix.indices.astype(np.int32, copy=False),
    )


def _unknowns(first: IntArray, sizes: IntArray) -> Int32:
    """Return the unknowns of nodes, one after the other. (n,), (n,) to (n_unknown,)."""
    before = np.cumsum(sizes) - sizes
    return (np.repeat(first - before, sizes) + np.arange(sizes.sum())).astype(np.int32)


def _node_order(order: Int32, first: Int32) -> Int32:
    """Order nodes as the first of their unknowns. (n,), (n_node + 1,) to (n_node,)."""
    foremost = np.minimum.reduceat(places(order), first[:-1])
    return np.argsort(foremost).astype(np.int32)
