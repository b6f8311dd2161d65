"""Our assembly of stiffness and mass against scikit-fem's own forms.

Source: scikit-fem (Gustafsson and McBain, JOSS 5 (2020) 2369). Both integrate the same
polynomials exactly, so only round-off is left.
"""

import numpy as np
import scipy.sparse as sp
from block_mesh import block_mesh, irregular

from fea.core.elasticity import (
    inertia,
    quadratic_basis,
    quadratic_mesh,
    reference_forms,
)
from fea.core.solid import stiffness_and_mass

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
