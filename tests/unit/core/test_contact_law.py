"""The law of a joint that closes, lifts and slips, point by point."""

import numpy as np
import pytest

from fea.core.contact_law import ContactLaw, ContactPoints, remembered, traction
from geometry.pad import FloatArray


def law(exponent: float = 0.5, friction: float = 0.2) -> ContactLaw:
    return ContactLaw(
        closure=2e-3, exponent=exponent, tangential_ratio=0.6, friction=friction
    )


def points(shear: list[list[float]], stiffness: float = 400.0) -> ContactPoints:
    n = len(shear)
    return ContactPoints(
        slide=np.zeros((n, 2)),
        shear=np.array(shear),
        stiffness=np.full(n, stiffness),
    )


def jumps(*rows: tuple[float, float, float]) -> FloatArray:
    return np.array(rows)


@pytest.mark.parametrize("exponent", [0.3, 0.5, 1.0])
def test_pressure_and_approach_are_inverse_to_each_other(exponent: float) -> None:
    pressure = np.array([0.0, 1e-3, 0.7, 1.0, 20.0])
    back, _ = law(exponent).pressure(law(exponent).approach(pressure))
    # Round-off of two powers.
    assert back == pytest.approx(pressure, rel=1e-13, abs=1e-300)


@pytest.mark.parametrize("exponent", [0.3, 0.5, 1.0])
def test_stiffness_is_p_to_the_one_less_m_over_c_m(exponent: float) -> None:
    p = np.array([0.2, 1.0, 5.0])
    _, stiffness = law(exponent).pressure(law(exponent).approach(p))
    expected = p ** (1.0 - exponent) / (2e-3 * exponent)
    assert stiffness == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("exponent", [0.5, 1.0])
def test_parted_faces_have_neither_pressure_nor_stiffness(exponent: float) -> None:
    pressure, stiffness = law(exponent).pressure(np.array([-1e-9, -1.0]))
    assert not pressure.any()
    assert not stiffness.any()


def test_a_wedge_that_advances_closes_the_faces_as_an_approach_does() -> None:
    still = points([[0.0, 0.0]])
    driven = traction(law(), still, jumps((0.0, 0.0, 0.0)), 3e-3)
    closed = traction(law(), still, jumps((0.0, 0.0, -3e-3)), 0.0)
    assert driven.pressure == pytest.approx(closed.pressure, rel=1e-14)
    assert driven.pressure[0] > 0.0


def test_shear_resists_the_slide_and_stays_on_coulombs_cone() -> None:
    rows = jumps((1e-3, 0.0, -2e-3), (0.0, -0.5, -2e-3), (3e-3, 4e-3, -2e-3))
    at = traction(law(), points([[0.0, 0.0]] * 3), rows, 0.0)
    # p = 1 MPa, so the limit is 0.2 MPa; the first trial, 0.4, is above it as well.
    assert np.linalg.norm(at.value[:, :2], axis=1) == pytest.approx([0.2] * 3)
    assert at.value[2, :2] == pytest.approx([0.12, 0.16])
    assert at.value[1, 1] < 0.0
    assert at.slips.all()


def test_a_small_slide_sticks() -> None:
    at = traction(law(), points([[0.01, 0.0]]), jumps((1e-4, 2e-4, -2e-3)), 0.0)
    assert at.value[0] == pytest.approx([0.05, 0.08, -1.0])
    assert not at.slips.any()


def test_parted_faces_carry_no_shear_and_are_not_said_to_slip() -> None:
    at = traction(law(), points([[0.1, 0.0]]), jumps((1e-3, 0.0, 1e-3)), 0.0)
    assert not at.value.any()
    assert not at.tangent.any()
    assert not at.slips.any()


def test_a_point_that_slipped_is_at_its_limit_when_asked_again_and_sticks() -> None:
    # Directions whose length round-off puts above or below the limit.
    angles = np.linspace(0.0, 2.0 * np.pi, 200)
    rows = np.column_stack(
        [np.cos(angles), np.sin(angles), np.full(len(angles), -1.7e-3)]
    )
    before = points([[0.0, 0.0]] * len(angles))
    slid = traction(law(), before, rows, 0.0)
    after = remembered(law(), before, rows, slid)
    again = traction(law(), after, rows, 0.0)
    assert again.slips.all()
    assert again.value == pytest.approx(slid.value, rel=1e-12)
    held = after.stiffness[:, None, None] * np.eye(2)
    assert again.tangent[:, :2, :2] == pytest.approx(held, rel=1e-12)
    assert not again.tangent[:, :2, 2].any()


def test_a_guide_holds_the_faces_sideways_even_when_they_part() -> None:
    guided = law(friction=np.inf)
    rows = jumps((2e-3, 0.0, 1e-3), (2e-3, 0.0, -1e-3))
    before = points([[0.0, 0.0]] * 2)
    at = traction(guided, before, rows, 0.0)
    assert at.value[:, 0] == pytest.approx([0.8, 0.8])
    assert not at.slips.any()
    after = remembered(guided, before, rows, at)
    assert after.stiffness == pytest.approx(before.stiffness)


@pytest.mark.parametrize("exponent", [0.5, 1.0])
def test_tangent_is_the_slope_of_the_traction(exponent: float) -> None:
    random = np.random.default_rng(2)
    n, step = 240, 1e-9
    own = law(exponent)
    before = points(random.uniform(-0.2, 0.2, (n, 2)).tolist())
    rows = random.uniform(-1.0, 1.0, (n, 3)) * [1e-3, 1e-3, 3e-3]
    at = traction(own, before, rows, 0.0)
    stuck = (at.pressure > 0.0) & ~at.slips
    # All three kinds of point are there, or the test would show less than it says.
    assert min(stuck.sum(), at.slips.sum(), (at.pressure == 0.0).sum()) >= 5
    for axis in range(3):
        shift = step * np.eye(3)[axis]
        ahead, back = (traction(own, before, rows + s, 0.0) for s in (shift, -shift))
        slope = (ahead.value - back.value) / (2.0 * step)
        # Round-off 1e-16 over a step 1e-9 in tractions near 1, beside slopes near 1e3.
        assert at.tangent[:, :, axis] == pytest.approx(slope, rel=1e-5, abs=1e-3)
