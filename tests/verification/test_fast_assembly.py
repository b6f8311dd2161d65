"""Our stiffness and mass, assembled or not, against scikit-fem's own forms.

Source: scikit-fem (Gustafsson and McBain, JOSS 5 (2020) 2369). Both integrate the same
polynomials exactly, so only round-off is left.
"""

import numpy as np
import pytest
import scipy.sparse as sp
from block_mesh import block_mesh, irregular
from skfem import Basis, ElementTetP1, ElementVector

from fea.core.elasticity import (
    inertia,
    node_points,
    quadratic_basis,
    quadratic_mesh,
    reference_forms,
)
from fea.core.solid import Solid, stiffness_and_mass

MODULUS, NU, DENSITY = 210_000.0, 0.29, 7.85e-9
ROUND_OFF = 1e-12


def test_stiffness_and_mass_are_those_of_scikit_fem() -> None:
    mesh = quadratic_mesh(irregular(block_mesh((30.0, 20.0, 14.0), (4, 3, 3)), 1.2))
    stiffness, mass = stiffness_and_mass(mesh, NU)
    k, m = reference_forms(quadratic_basis(mesh), MODULUS, NU, DENSITY)
    assert abs(MODULUS * stiffness - k).max() < ROUND_OFF * abs(k).max()
    full = DENSITY * sp.kron(mass, np.eye(3), format="csr")
    assert abs(full - m).max() < ROUND_OFF * abs(m).max()
    vectors = np.random.default_rng(0).standard_normal((m.shape[0], 2))
    momentum = m @ vectors
    error = np.abs(DENSITY * inertia(mass, vectors) - momentum).max()
    assert error < ROUND_OFF * np.abs(momentum).max()


@pytest.mark.parametrize(("kind", "limit"), [(np.float64, 1e-13), (np.float32, 1e-5)])
def test_products_by_elements_are_those_of_scikit_fem(kind: type, limit: float) -> None:
    mesh = quadratic_mesh(irregular(block_mesh((30.0, 20.0, 14.0), (9, 7, 6)), 0.5))
    stiffness, _ = reference_forms(quadratic_basis(mesh), 1.0, NU, DENSITY)
    held = node_points(mesh)[:, 0] <= 0.0
    solid = Solid(mesh, NU, held)
    assert solid.products.groups > 1
    free = np.repeat(~held, 3)[:, None]
    # More than one, and no multiple of what is multiplied at a time.
    vectors = np.random.default_rng(0).standard_normal((3 * solid.n_node, 5)) * free
    expected = (stiffness @ vectors) * free
    found = solid.products.times(vectors.astype(kind))
    assert found.dtype == kind
    assert np.abs(found - expected).max() < limit * np.abs(expected).max()


def test_the_corners_have_the_stiffness_of_linear_elements() -> None:
    mesh = quadratic_mesh(irregular(block_mesh((30.0, 20.0, 14.0), (4, 3, 3)), 1.2))
    basis = Basis(mesh, ElementVector(ElementTetP1()))
    expected, _ = reference_forms(basis, 1.0, NU, DENSITY)
    found = Solid(mesh, NU).corner_stiffness()
    assert abs(found - expected).max() < ROUND_OFF * abs(expected).max()
