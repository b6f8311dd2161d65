"""Lowest modes without a factor against Lanczos on the factored pencil.

Source: ARPACK's shift-invert Lanczos as SciPy wraps it, converged to round-off; the
block method stops when the squared frequencies change by 1e-5, with a hundredth of
that left.
"""

import numpy as np
import pytest
import scipy.sparse as sp
from block_mesh import block_mesh, irregular
from scipy.sparse.linalg import eigsh

from fea.core.block_matrix import restricted
from fea.core.elasticity import (
    corner_interpolation,
    inertia,
    node_points,
    quadratic_mesh,
    stiffness_blocks,
)
from fea.core.factor import NO_UNKNOWNS
from fea.core.lowest_modes import lowest_modes
from fea.core.multigrid import plan_iterative

COUNT = 12


def test_lowest_modes_are_those_of_lanczos() -> None:
    # Square across, so that bending modes come in pairs.
    mesh = quadratic_mesh(irregular(block_mesh((90.0, 20.0, 20.0), (9, 3, 3)), 0.8))
    free = node_points(mesh)[:, 0] > 0.0
    stiffness, mass = stiffness_blocks(mesh, 0.3)
    stiffness, mass = restricted(stiffness, free), mass[free][:, free].tocsr()
    linear = corner_interpolation(mesh)[free][:, free[: mesh.nvertices]]
    solver = plan_iterative(stiffness, linear, NO_UNKNOWNS).make()
    found = lowest_modes(stiffness, lambda u: inertia(mass, u), solver, COUNT)
    full = sp.kron(mass, np.eye(3), format="csc")
    expected = eigsh(
        stiffness.tocsc(), COUNT, full, sigma=0.0, return_eigenvectors=False
    )
    assert found == pytest.approx(np.sort(expected), rel=1e-6)
