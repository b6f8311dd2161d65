import numpy as np
import pytest
from block_mesh import block_mesh, end_pad, irregular

from fea.core.elasticity import lame, node_points, quadratic_mesh, rigid_motions
from fea.core.stress import recover_stresses, stress_field, von_mises
from geometry.errors import SolveError

SIZES = (30.0, 20.0, 14.0)
NU = 0.3
E = 2e5
LEFT, RIGHT = end_pad("left", SIZES, 0.0), end_pad("right", SIZES, SIZES[0])
MESH = block_mesh(SIZES, (5, 4, 3), (LEFT, RIGHT))
PULL = np.array([0.0, 0.0, 1000.0]) / np.sqrt(LEFT.area)


def test_von_mises_stress_of_simple_states() -> None:
    pressure = -7.0 * np.eye(3)
    shear = np.zeros((3, 3))
    shear[0, 1] = shear[1, 0] = 4.0
    states = np.array([pressure, shear, np.diag([0.0, -5.0, 0.0])])
    assert von_mises(states) == pytest.approx([0.0, 4.0 * np.sqrt(3.0), 5.0])


def test_a_stress_that_is_linear_over_the_part_is_recovered_exactly() -> None:
    mesh = quadratic_mesh(irregular(MESH, shift=1.2))
    points = node_points(mesh)
    curl = 1e-5 * np.random.default_rng(0).normal(size=(3, 3, 3))
    moved = np.einsum("cij,ni,nj->nc", curl, points, points)
    field = stress_field(mesh, moved.ravel(), E, NU)
    slope = np.einsum("cij,nj->nci", curl + curl.transpose(0, 2, 1), field.points)
    strain = (slope + slope.swapaxes(1, 2)) / 2.0
    lam, mu = lame(E, NU)
    trace = np.trace(strain, axis1=1, axis2=2)
    stress = lam * trace[:, None, None] * np.eye(3) + 2.0 * mu * strain
    # Round-off only: quadratic displacements lie in the space of the elements.
    assert field.von_mises == pytest.approx(von_mises(stress), rel=1e-10)
    assert field.spread.max() < 1e-10 * field.von_mises.max()


def test_spread_shows_where_elements_disagree() -> None:
    mesh = quadratic_mesh(MESH)
    x = node_points(mesh)[:, 0]
    moved = np.zeros((len(x), 3))
    moved[:, 0] = 1e-7 * x**4
    field = stress_field(mesh, moved.ravel(), E, NU)
    assert field.spread.max() > 1e-3 * field.von_mises.max()


def test_a_rigid_motion_makes_no_stress() -> None:
    mesh = quadratic_mesh(MESH)
    motions = rigid_motions(node_points(mesh))
    for motion in motions.T:
        field = stress_field(mesh, 1e-3 * motion, E, NU)
        assert field.von_mises.max() < 1e-9


def test_loads_out_of_balance_are_refused_by_the_name_of_the_part() -> None:
    with pytest.raises(SolveError, match=r"post body: .* not in balance, 1e\+03 N"):
        recover_stresses(MESH, (LEFT, RIGHT), NU, [{"left": PULL}], name="post body")


def test_a_moment_out_of_balance_is_refused_too() -> None:
    aside = PULL[[2, 0, 1]]
    loads = {"left": -aside, "right": aside}
    with pytest.raises(SolveError, match=r"0 N and 30 N m|e-\d+ N and 30 N m"):
        recover_stresses(MESH, (LEFT, RIGHT), NU, [loads], name="bar")


def test_cases_are_solved_together_and_do_not_mix() -> None:
    pull = {"left": -PULL, "right": PULL}
    cases = [pull, {}, {name: 2.0 * load for name, load in pull.items()}]
    one, none, two = recover_stresses(MESH, (LEFT, RIGHT), NU, cases, name="bar")
    assert two.von_mises == pytest.approx(2.0 * one.von_mises, rel=1e-9)
    assert not none.von_mises.any()
    assert one.points.shape == (len(MESH.points), 3)


def test_coefficients_that_fit_no_degree_are_a_mistake() -> None:
    with pytest.raises(ValueError, match="no degree has 2 functions"):
        recover_stresses(MESH, (LEFT,), NU, [{"left": np.zeros(6)}], name="bar")
