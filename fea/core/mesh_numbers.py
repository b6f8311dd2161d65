"""Numbers that a mesh has given to its edges and facets, found by their corners."""

import numpy as np
from skfem import MeshTet

from geometry.mesh import IntArray


def edge_numbers(mesh: MeshTet, ends: IntArray) -> IntArray:
    """scikit-fem's numbers of the edges between these corners. (n, 2) to (n,)."""
    touched = np.zeros(mesh.nvertices, dtype=bool)
    touched[ends] = True
    near = np.flatnonzero(touched[mesh.edges].all(axis=0))
    return near[_places(mesh.edges[:, near].T, ends)]


def facet_numbers(mesh: MeshTet, triangles: IntArray) -> IntArray:
    """scikit-fem's numbers of the boundary facets with these corners. (n,)."""
    boundary = mesh.boundary_facets()
    return np.asarray(boundary[_places(mesh.facets[:, boundary].T, triangles)])


def _places(rows: IntArray, wanted: IntArray) -> IntArray:
    """Where in `rows` each wanted set of corners stands. (m, k), (n, k) to (n,)."""
    weights = (int(rows.max()) + 1) ** np.arange(rows.shape[1], dtype=np.int64)
    keys = np.sort(rows, axis=1) @ weights
    order = np.argsort(keys)
    sought = np.sort(wanted, axis=1) @ weights
    return np.asarray(order[np.searchsorted(keys, sought, sorter=order)])
