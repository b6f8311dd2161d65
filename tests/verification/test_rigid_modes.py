"""A free part moves as a rigid body in six ways, and in no other without energy.

Source: three translations and three rotations of a body in space. The energies are
round-off of the stiffness, 1e-16 times a condition number near 1e4, beside the first
elastic mode; the limit asked for is 1e-9.
"""

import numpy as np
import pytest
import scipy.sparse as sp
from scipy.linalg import eigh

from fea.analysis.build import QUICK_CHANGE, plan_stack
from fea.case.schema import Case
from fea.core.elasticity import inertia, node_points, quadratic_mesh, rigid_motions
from fea.core.solid import stiffness_and_mass
from geometry.mesh import PartMesh
from geometry.mesher import mesh_part

LIMIT = 1e-9


@pytest.fixture(scope="module")
def flank(coarse_case: Case) -> PartMesh:
    """The moving flank: small, oblique, with two pads."""
    parts = plan_stack(coarse_case, QUICK_CHANGE).parts
    plan = next(part for part in parts if part.name == "moving flank")
    pads = plan.own(plan.contacts)
    return mesh_part(plan.shape, pads, coarse_case.numerics.mesh_size, name=plan.name)


def test_a_free_part_has_six_modes_without_energy(flank: PartMesh) -> None:
    stiffness, mass = stiffness_and_mass(quadratic_mesh(flank), 0.3)
    full = sp.kron(mass, np.eye(3)).toarray()
    squared = eigh(stiffness.toarray(), full, eigvals_only=True, subset_by_index=(0, 9))
    assert np.abs(squared[:6]).max() < LIMIT * squared[6]


def test_rigid_motions_are_those_six(flank: PartMesh) -> None:
    mesh = quadratic_mesh(flank)
    stiffness, mass = stiffness_and_mass(mesh, 0.3)
    rigid = rigid_motions(node_points(mesh))
    energy = rigid.T @ (stiffness @ rigid)
    squared = eigh(energy, rigid.T @ inertia(mass, rigid), eigvals_only=True)
    full = sp.kron(mass, np.eye(3)).toarray()
    first_elastic = eigh(
        stiffness.toarray(), full, eigvals_only=True, subset_by_index=(6, 6)
    )[0]
    assert len(squared) == 6
    assert np.abs(squared).max() < LIMIT * first_elastic
