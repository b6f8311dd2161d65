"""Quadratic tetrahedra and linear isotropic elasticity: shapes, integrals, motions."""

from itertools import product
from math import factorial, prod
from typing import Any

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray
from skfem import Basis, BilinearForm, ElementTetP2, ElementVector, MeshTet
from skfem.helpers import ddot, div, dot, sym_grad

from fea.core.sparse_products import mixed
from geometry.errors import MeshError
from geometry.mesh import PartMesh
from geometry.pad import FloatArray

EDGES = ((0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3))


def quadratic_mesh(mesh: PartMesh) -> MeshTet:
    """Return the mesh as scikit-fem keeps it."""
    return MeshTet(mesh.points.T.copy(), mesh.tetrahedra.T.copy())


def element_nodes(mesh: MeshTet) -> NDArray[np.int64]:
    """Return the ten nodes of every tetrahedron, corners first. (n_tet, 10)."""
    return np.vstack([mesh.t, mesh.nvertices + mesh.t2e]).T.astype(np.int64)


def node_points(mesh: MeshTet) -> FloatArray:
    """Points of all nodes: corners, then edge middles. (n_node, 3) [mm]."""
    middles = mesh.p[:, mesh.edges].mean(axis=1)
    return np.hstack([mesh.p, middles]).T


def corner_interpolation(mesh: MeshTet) -> sp.csr_matrix:
    """Values at all nodes of what is linear between the corners. (n_node, n_corner)."""
    corners = np.arange(mesh.nvertices)
    ends = mesh.edges.T.ravel()
    columns = np.concatenate([corners, ends])
    weights = np.repeat([1.0, 0.5], [len(corners), len(ends)])
    starts = np.concatenate([corners, len(corners) + 2 * np.arange(mesh.nedges + 1)])
    shape = (mesh.nvertices + mesh.nedges, mesh.nvertices)
    return sp.csr_matrix((weights, columns, starts), shape=shape)


def inertia(mass: sp.csr_matrix, vectors: FloatArray) -> FloatArray:
    """Return nodal mass times displacement vectors. (3 n_node, n) to the same."""
    per_node = np.ascontiguousarray(vectors).reshape(mass.shape[0], -1)
    return mixed(mass, per_node).reshape(vectors.shape)


def reference_forms(
    basis: Basis, modulus: float, poissons_ratio: float, density: float
) -> tuple[sp.csr_matrix, sp.csr_matrix]:
    """Stiffness and mass by scikit-fem's forms, on any mesh, curved ones included.

    The reference that the fast assembly is held to; slower by an order of magnitude.
    `modulus` [MPa], `density` [t/mm³]; matrices [N/mm] and [t].
    """
    lam, mu = lame(modulus, poissons_ratio)

    def strain_energy(u: Any, v: Any, _: Any) -> Any:
        return lam * div(u) * div(v) + 2.0 * mu * ddot(sym_grad(u), sym_grad(v))

    def momentum(u: Any, v: Any, _: Any) -> Any:
        return density * dot(u, v)

    stiffness = BilinearForm(strain_energy).assemble(basis)
    return stiffness.tocsr(), BilinearForm(momentum).assemble(basis).tocsr()


def quadratic_basis(mesh: MeshTet, order: int = 4) -> Basis:
    """Vector-valued quadratic basis; `order` of quadrature exact for the mass."""
    return Basis(mesh, ElementVector(ElementTetP2()), intorder=order)


def lame(modulus: float, poissons_ratio: float) -> tuple[float, float]:
    """Lamé's constants from Young's modulus and Poisson's ratio. [MPa]."""
    nu = poissons_ratio
    return modulus * nu / ((1 + nu) * (1 - 2 * nu)), modulus / (2 * (1 + nu))


def rigid_motions(points: FloatArray) -> FloatArray:
    """Three translations and three small rotations about the mean point. (3 n, 6).

    `points` (n, 3) [mm]; columns are dimensionless and [mm per rad].
    """
    x, y, z = (points - points.mean(axis=0)).T
    motions = np.zeros((len(points), 3, 6))
    motions[:, [0, 1, 2], [0, 1, 2]] = 1.0
    motions[:, 1, 3], motions[:, 2, 3] = -z, y
    motions[:, 2, 4], motions[:, 0, 4] = -x, z
    motions[:, 0, 5], motions[:, 1, 5] = -y, x
    return motions.reshape(-1, 6)


def barycentric_gradients(mesh: MeshTet) -> tuple[FloatArray, FloatArray]:
    """Gradients of coordinates 1 to 3 (n_tet, 3, 3) [1/mm]; volumes (n_tet,) [mm³]."""
    corner = mesh.p.T[mesh.t.T]
    edges = corner[:, 1:] - corner[:, :1]
    volumes = np.linalg.det(edges) / 6.0
    if not np.all(np.abs(volumes) > 0.0):
        message = "the mesh holds a tetrahedron without volume: mesh the part finer"
        raise MeshError(message)
    return np.linalg.inv(edges).transpose(0, 2, 1), np.abs(volumes)


def _shape_polynomials() -> list[list[tuple[float, tuple[int, ...]]]]:
    """Shape functions as sums of coefficient times powers of l0 to l3."""

    def powers(*corners: int) -> tuple[int, ...]:
        return tuple(corners.count(corner) for corner in range(4))

    at_corners = [[(2.0, powers(i, i)), (-1.0, powers(i))] for i in range(4)]
    return at_corners + [[(4.0, powers(a, b))] for a, b in EDGES]


def _integral(powers: tuple[int, ...]) -> float:
    """Integral of a monomial in l0 to l3 over a tetrahedron of volume 1.

    6 a! b! c! d! / (3 + a + b + c + d)!: the usual formula for simplex coordinates.
    """
    return 6.0 * prod(map(factorial, powers)) / factorial(3 + sum(powers))


def _derivative(
    polynomial: list[tuple[float, tuple[int, ...]]], k: int
) -> list[tuple[float, tuple[int, ...]]]:
    return [
        (c * p[k], tuple(q - (i == k) for i, q in enumerate(p)))
        for c, p in polynomial
        if p[k]
    ]


def _product_integral(
    left: list[tuple[float, tuple[int, ...]]],
    right: list[tuple[float, tuple[int, ...]]],
) -> float:
    return sum(
        a * b * _integral(tuple(i + j for i, j in zip(p, q, strict=True)))
        for a, p in left
        for b, q in right
    )


def _tables() -> tuple[FloatArray, FloatArray]:
    """Gradient table (10, 10, 3, 3) in coordinates 1 to 3, mass table (10, 10)."""
    shapes = _shape_polynomials()
    pairs = list(product(range(10), repeat=2))
    full = np.zeros((10, 10, 4, 4))
    mass = np.zeros((10, 10))
    for i, j in pairs:
        mass[i, j] = _product_integral(shapes[i], shapes[j])
        for a, b in product(range(4), repeat=2):
            full[i, j, a, b] = _product_integral(
                _derivative(shapes[i], a), _derivative(shapes[j], b)
            )
    table = np.einsum("ijkl,ka,lb->ijab", full, DEPENDENT, DEPENDENT)
    return np.ascontiguousarray(table), mass


def _corner_slopes() -> FloatArray:
    """Return the shape functions' derivatives at the corners. (10 nodes, 4 corners, 4).

    By barycentric coordinate. With phi_i = l_i (2 l_i - 1) and phi_ab = 4 l_a l_b, at
    corner v: d phi_i / d l_i is 3 for i = v and -1 for the others, and
    d phi_vb / d l_b is 4.
    """
    table = np.zeros((10, 4, 4))
    for corner in range(4):
        table[corner, :, corner] = -1.0
        table[corner, corner, corner] = 3.0
    for edge, (a, b) in enumerate(EDGES, start=4):
        table[edge, a, b] = table[edge, b, a] = 4.0
    return table


# Slopes of all four coordinates along coordinates 1 to 3: their sum is always 1.
DEPENDENT = np.vstack([-np.ones(3), np.eye(3)])

GRADIENT_TABLE, MASS_TABLE = _tables()

# The same integrals as `GRADIENT_TABLE` for linear elements. (4, 4, 3, 3)
LINEAR_TABLE = np.ascontiguousarray(np.einsum("ia,jb->ijab", DEPENDENT, DEPENDENT))
CORNER_SLOPES = _corner_slopes()

# Two barycentric coordinates multiplied integrate to (1 + delta) over this of a volume.
LINEAR_PRODUCTS = 20.0

# Their integrals over volume 1. (4, 4)
CORNER_MASS = (np.ones((4, 4)) + np.eye(4)) / LINEAR_PRODUCTS
