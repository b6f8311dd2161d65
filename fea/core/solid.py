"""A meshed solid: the stiffness of its nodes, assembled or not, and their mass."""

from functools import cached_property

import numpy as np
import scipy.sparse as sp
from skfem import MeshTet

from fea.core.elasticity import (
    GRADIENT_TABLE,
    LINEAR_TABLE,
    MASS_TABLE,
    barycentric_gradients,
    element_nodes,
    lame,
    node_points,
    rigid_motions,
)
from fea.core.element_products import ElementProducts
from fea.core.kernels import Int32, fill_diagonal, fill_masses, fill_rows
from fea.core.threads import over_rows
from geometry.mesh import IntArray
from geometry.pad import FloatArray

Places = tuple[Int32, Int32]


class Solid:
    """Quadratic tetrahedra of one material, for Young's modulus 1 MPa and density 1.

    Unknown 3 n + c is displacement component c of node n; the nodes are the mesh's
    points, then the middles of its edges. This is scikit-fem's own numbering of
    `ElementVector(ElementTetP2())`, so its forms and these matrices go together.

    Parameters
    ----------
    mesh : straight-sided tetrahedra
    poissons_ratio : between 0 and 0.5
    held : (n_node,) of bool: which nodes do not move; whole facets, if any

    Raises
    ------
    MeshError
        A tetrahedron has no volume.

    Notes
    -----
    On a straight-sided tetrahedron the shape functions' gradients are linear in the
    barycentric coordinates, hence every integral is a constant 10 x 10 table times
    products of the coordinates' gradients.
    """

    def __init__(
        self, mesh: MeshTet, poissons_ratio: float, held: np.ndarray | None = None
    ) -> None:
        self.mesh = mesh
        self.n_node = int(mesh.nvertices + mesh.nedges)
        self.held = np.zeros(self.n_node, dtype=bool) if held is None else held
        self._nodes = element_nodes(mesh).astype(np.int32)
        self._geometry = barycentric_gradients(mesh)
        self._lame = np.array(lame(1.0, poissons_ratio))

    @property
    def held_unknowns(self) -> IntArray:
        """Unknowns of the nodes that do not move."""
        nodes = np.flatnonzero(self.held)
        return (3 * nodes[:, None] + np.arange(3)).ravel()

    @cached_property
    def points(self) -> FloatArray:
        """Points of the nodes. (n_node, 3) [mm]."""
        return node_points(self.mesh)

    @cached_property
    def rigid(self) -> FloatArray:
        """Rigid motions of the nodes, see `rigid_motions`. (3 n_node, 6)."""
        return rigid_motions(self.points)

    @cached_property
    def mass(self) -> sp.csr_matrix:
        """Nodal mass, the same for every component. (n_node, n_node) [t per t/mm³]."""
        pattern, around = self._pattern, self._around
        masses = np.zeros(pattern.nnz)
        over_rows(
            fill_masses,
            self.n_node,
            (pattern.indptr, pattern.indices),
            around,
            self._nodes,
            self._geometry[1],
            MASS_TABLE,
            masses,
        )
        data = (masses, pattern.indices, pattern.indptr)
        return sp.csr_matrix(data, shape=pattern.shape)

    def stiffness(self) -> sp.bsr_matrix:
        """Return the stiffness in 3 x 3 blocks, of what is held too. [N/mm per MPa]."""
        given = (self._nodes, self._around, self._pattern)
        return self._filled(*given, GRADIENT_TABLE)

    def corner_stiffness(self) -> sp.bsr_matrix:
        """Stiffness of what is linear between the corners. (3 n_corner, 3 n_corner)."""
        corners = np.ascontiguousarray(self._nodes[:, :4])
        n_corner = int(self.mesh.nvertices)
        around, pattern = _around(corners, n_corner), _pattern(corners, n_corner)
        return self._filled(corners, around, pattern, LINEAR_TABLE)

    def diagonal(self) -> FloatArray:
        """Stiffness of every node by itself. (n_node, 3, 3)."""
        blocks = np.zeros((self.n_node, 3, 3))
        given = (self._around, self._geometry, GRADIENT_TABLE, self._lame, blocks)
        over_rows(fill_diagonal, self.n_node, *given)
        return blocks

    @cached_property
    def products(self) -> ElementProducts:
        """The stiffness as what multiplies vectors; what is held gives no force."""
        middles = self.mesh.p[:, self.mesh.t].mean(axis=1).T
        given = (self._geometry, self._lame, self.held)
        return ElementProducts(self._nodes, middles, *given)

    @cached_property
    def _around(self) -> Places:
        return _around(self._nodes, self.n_node)

    @cached_property
    def _pattern(self) -> sp.csr_matrix:
        return _pattern(self._nodes, self.n_node)

    def _filled(
        self, nodes: Int32, around: Places, pattern: sp.csr_matrix, table: FloatArray
    ) -> sp.bsr_matrix:
        n_node = pattern.shape[0]
        blocks = np.zeros((pattern.nnz, 3, 3))
        over_rows(
            fill_rows,
            n_node,
            (pattern.indptr, pattern.indices),
            around,
            nodes,
            self._geometry,
            table,
            self._lame,
            blocks,
        )
        data = (blocks, pattern.indices, pattern.indptr)
        return sp.bsr_matrix(data, shape=(3 * n_node, 3 * n_node))


def stiffness_and_mass(
    mesh: MeshTet, poissons_ratio: float
) -> tuple[sp.csr_matrix, sp.csr_matrix]:
    """Stiffness for Young's modulus 1 MPa and nodal mass for density 1 t/mm³.

    Parameters
    ----------
    mesh : straight-sided tetrahedra
    poissons_ratio : between 0 and 0.5

    Returns
    -------
    (n_dof, n_dof) [N/mm per MPa], (n_node, n_node) [t per t/mm³]
        The mass is the same for all three components, so it is kept once; see
        `inertia`. Both only scale with modulus and density.
    """
    solid = Solid(mesh, poissons_ratio)
    return solid.stiffness().tocsr(), solid.mass


def _within(nodes: Int32, n_node: int) -> sp.csr_matrix:
    """Entry of every node of every element: its number in `nodes`. (n_tet, n_node)."""
    starts = np.arange(0, nodes.size + 1, nodes.shape[1])
    entries = np.arange(nodes.size, dtype=np.int32)
    data = (entries, nodes.ravel(), starts)
    return sp.csr_matrix(data, shape=(len(nodes), n_node))


def _around(nodes: Int32, n_node: int) -> Places:
    """Where the entries of a node start (n_node + 1,), and the entries (n_entry,)."""
    by_node = _within(nodes, n_node).tocsc()
    return by_node.indptr, by_node.data


def _pattern(nodes: Int32, n_node: int) -> sp.csr_matrix:
    """Which nodes share an element. (n_node, n_node)."""
    within = _within(nodes, n_node)
    within.data = np.ones(nodes.size, dtype=np.float32)
    pattern = sp.csr_matrix(within.T.tocsr() @ within)
    pattern.sort_indices()
    return pattern
