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

from fea.core.elasticity import node_points, quadratic_mesh
from fea.core.factor import NO_UNKNOWNS
from fea.core.lowest_modes import lowest_modes
from fea.core.multigrid import plan_iterative
from fea.core.solid import Solid

COUNT = 12


def test_lowest_modes_are_those_of_lanczos() -> None:
    # Square across, so that bending modes come in pairs.
    mesh = quadratic_mesh(irregular(block_mesh((90.0, 20.0, 20.0), (9, 3, 3)), 0.8))
    solid = Solid(mesh, 0.3, held=node_points(mesh)[:, 0] <= 0.0)
    solver = plan_iterative(solid, NO_UNKNOWNS).make()
    found = lowest_modes(solver, solid.mass, COUNT)
    free = np.repeat(~solid.held, 3)
    stiffness = solid.stiffness().tocsc()[free][:, free]
    mass = sp.kron(solid.mass, np.eye(3), format="csc")[free][:, free]
    expected = eigsh(stiffness, COUNT, mass, sigma=0.0, return_eigenvectors=False)
    assert found == pytest.approx(np.sort(expected), rel=1e-6)
