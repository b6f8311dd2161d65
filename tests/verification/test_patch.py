"""Patch test: a mesh of any shape carries a constant strain exactly.

Source: Irons' patch test, as Zienkiewicz and Taylor, The Finite Element Method, vol. 1,
chapter "The patch test" (from memory). A linear displacement lies in the space of the
elements, so only round-off is left: 1e-16 times a condition number near 1e4.
"""

import numpy as np
import pytest
from block_mesh import block_mesh, irregular

from fea.core.elasticity import lame, node_points, quadratic_mesh
from fea.core.factor import Factor
from fea.core.solid import stiffness_and_mass

SIZES = (30.0, 20.0, 14.0)
NU = 0.3
ROUND_OFF = 1e-11

GRADIENT = 1e-3 * np.array([[1.0, 0.3, -0.2], [0.5, -0.7, 0.4], [-0.6, 0.1, 0.8]])


def test_inner_nodes_follow_a_linear_displacement_of_the_boundary() -> None:
    mesh = quadratic_mesh(irregular(block_mesh(SIZES, (5, 4, 3)), shift=1.2))
    points = node_points(mesh)
    inner = ((points > 1e-9) & (points < np.array(SIZES) - 1e-9)).all(axis=1)
    assert inner.sum() > 300
    wanted = (points @ GRADIENT.T).ravel()
    free = np.repeat(inner, 3)
    stiffness, _ = stiffness_and_mass(mesh, NU)
    loads = -stiffness[free][:, ~free] @ wanted[~free]
    found = Factor(stiffness[free][:, free].tocsr()).solve(loads[:, None])[:, 0]
    error = np.abs(found - wanted[free]).max()
    assert error < ROUND_OFF * np.abs(wanted).max()


def test_energy_of_a_constant_strain_is_stress_by_strain_by_volume() -> None:
    mesh = quadratic_mesh(irregular(block_mesh(SIZES, (5, 4, 3)), shift=1.2))
    moved = (node_points(mesh) @ GRADIENT.T).ravel()
    stiffness, _ = stiffness_and_mass(mesh, NU)
    strain = (GRADIENT + GRADIENT.T) / 2.0
    lam, mu = lame(1.0, NU)
    stress = lam * np.trace(strain) * np.eye(3) + 2.0 * mu * strain
    expected = np.prod(SIZES) * np.sum(stress * strain)
    assert moved @ stiffness @ moved == pytest.approx(expected, rel=ROUND_OFF)
