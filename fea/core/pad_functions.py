"""Displacement on a pad: Legendre polynomials, orthonormal over the pad."""

from functools import cached_property
from math import isqrt

import numpy as np
import scipy.sparse as sp
from numpy.polynomial.legendre import leggauss, legvander
from scipy.linalg import cholesky, solve_triangular
from skfem import Basis, ElementTriP2, MeshTet, MeshTri

from fea.core.mesh_numbers import edge_numbers
from geometry.mesh import IntArray
from geometry.pad import FloatArray, Pad

# Numbers of the functions that grow along the pad's second and first side.
ALONG_SECOND, ALONG_FIRST = 1, 2


class PadFunctions:
    """Polynomials up to a total degree on a pad, orthonormal over its area.

    Parameters
    ----------
    pad : the rectangle, with or without a window
    degree : highest total degree; 5 gives 21 functions, 0 the mean

    Notes
    -----
    Over a full rectangle products of Legendre polynomials are orthonormal once scaled.
    A window is taken out of their Gram matrix, whose Cholesky factor then makes
    them orthonormal over what is left.
    """

    def __init__(self, pad: Pad, degree: int) -> None:
        self.pad = pad
        self.degree = degree

    @property
    def count(self) -> int:
        """Number of scalar functions."""
        return function_count(self.degree)

    def values(self, local: FloatArray) -> FloatArray:
        """Functions at points in the pad's frame. (..., 2 or 3) to (count, ...)."""
        raw = self._legendre(local[..., 0], local[..., 1])
        flat = raw.reshape(self.count, -1)
        made = solve_triangular(self._gram_factor, flat, lower=True)
        return np.asarray(made.reshape(raw.shape))

    def quadrature(self, order: int) -> tuple[FloatArray, FloatArray]:
        """Gauss points in the pad's frame (n, 2) [mm] and weights (n,) [mm²].

        `order` points along each side of every rectangle that the pad falls into.
        """
        parts = [_gauss(rectangle, order) for rectangle in _rectangles(self.pad)]
        points, weights = zip(*parts, strict=True)
        return np.vstack(points), np.concatenate(weights)

    def moments(self, mesh: MeshTet, triangles: IntArray) -> sp.csr_matrix:
        """Integrals of function times shape function over the pad. (count, n_node).

        Exact: polynomial degree of the functions plus two. On a facet a quadratic
        tetrahedron is a quadratic triangle.
        """
        corners, plane = self._plane_mesh(mesh, triangles)
        basis = Basis(plane, ElementTriP2(), intorder=self.degree + 2)
        values = self.values(np.moveaxis(np.asarray(basis.global_coordinates()), 0, -1))
        shapes = np.array([function[0] for function in basis.basis])
        integrals = np.einsum("kfq,ifq,fq->kif", values, shapes, basis.dx)
        middles = mesh.nvertices + edge_numbers(mesh, corners[plane.facets.T])
        columns = np.concatenate([corners, middles])[basis.element_dofs]
        columns = np.broadcast_to(columns, integrals.shape)
        rows = np.broadcast_to(np.arange(self.count)[:, None, None], integrals.shape)
        return sp.coo_matrix(
            (integrals.ravel(), (rows.ravel(), columns.ravel())),
            shape=(self.count, mesh.nvertices + mesh.nedges),
        ).tocsr()

    def _plane_mesh(
        self, mesh: MeshTet, triangles: IntArray
    ) -> tuple[IntArray, MeshTri]:
        """Triangles in the pad's plane, and the numbers of their corners in `mesh`."""
        corners, flat = np.unique(triangles, return_inverse=True)
        points = self.pad.local(mesh.p[:, corners].T)[:, :2]
        return corners, MeshTri(points.T.copy(), flat.reshape(-1, 3).T.copy())

    def displacement_moments(self, mesh: MeshTet, triangles: IntArray) -> sp.csr_matrix:
        """Coefficients of the displacement, along the pad's axes. (3 count, n_dof).

        Row 3 k + a belongs to function k and axis a (first, second, normal).
        """
        return sp.kron(self.moments(mesh, triangles), self.pad.axes, format="csr")

    def slopes(self) -> FloatArray:
        """Rows that give the slopes of a motion's best plane. (2, count) [1/mm²].

        From the coefficients of the motion; along the first and the second side.
        """
        points, weights = self.quadrature(self.degree + 1)
        moments = (self.values(points) * weights) @ points
        return np.asarray((moments / (moments**2).sum(axis=0)).T)

    @cached_property
    def _gram_factor(self) -> FloatArray:
        points, weights = self.quadrature(self.degree + 1)
        raw = self._legendre(points[:, 0], points[:, 1])
        return np.asarray(cholesky((raw * weights) @ raw.T, lower=True))

    def _legendre(self, xi: FloatArray, eta: FloatArray) -> FloatArray:
        a, b = self.pad.half_sizes
        along = legvander(xi / a, self.degree)
        across = legvander(eta / b, self.degree)
        return np.array(
            [
                along[..., i] * across[..., total - i]
                for total in range(self.degree + 1)
                for i in range(total + 1)
            ]
        )


def function_count(degree: int) -> int:
    """Return the number of polynomials in two variables up to a total degree."""
    return (degree + 1) * (degree + 2) // 2


def degree_of(count: int) -> int:
    """Return the degree up to which there are that many polynomials."""
    degree = (isqrt(8 * count + 1) - 3) // 2
    if function_count(degree) != count:
        message = f"no degree has {count} functions"
        raise ValueError(message)
    return degree


def _rectangles(pad: Pad) -> list[tuple[float, float, float, float]]:
    """Rectangles that make up the pad: (left, right, bottom, top) [mm]."""
    a, b = pad.half_sizes
    if pad.window is None:
        return [(-a, a, -b, b)]
    c, d = pad.window
    return [(-a, a, -b, -d), (-a, a, d, b), (-a, -c, -d, d), (c, a, -d, d)]


def _gauss(
    rectangle: tuple[float, float, float, float], order: int
) -> tuple[FloatArray, FloatArray]:
    left, right, bottom, top = rectangle
    nodes, weights = leggauss(order)
    xi = (left + right + (right - left) * nodes) / 2.0
    eta = (bottom + top + (top - bottom) * nodes) / 2.0
    points = np.stack(np.meshgrid(xi, eta, indexing="ij"), axis=-1).reshape(-1, 2)
    area = (right - left) * (top - bottom) / 4.0
    return points, np.outer(weights, weights).ravel() * area
