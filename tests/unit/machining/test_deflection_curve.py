import numpy as np
import pytest

from fea.machining.cut import Cut
from fea.machining.deflection import deflection_curve
from fea.machining.fed import Fed
from fea.machining.force import cutting_force
from fea.machining.work_material import load_work_materials
from geometry.errors import InputError, SolveError
from geometry.pad import FloatArray

DEPTHS = np.array([0.0, 0.05, 0.3, 1.0])
SLOPE = np.array([200.0, 400.0, -1000.0])  # N per mm of depth
COMPLIANCE = np.array(
    [[5.0e-5, 1.0e-5, -2.0e-5], [1.0e-5, 4.0e-5, 0.0], [-2.0e-5, 0.0, 8.0e-5]]
)  # mm/N: a lathe of about 20 N/um whose tip moves away as it is pressed down
STEEL = load_work_materials()["low_carbon_steel"]
CUT = Cut(feed_mm=0.1, entering_angle_deg=75.0, nose_radius_mm=0.4, rake_deg=6.0)


def spring(force: FloatArray) -> FloatArray:
    return COMPLIANCE @ force


def steel(depth: float) -> FloatArray:
    return cutting_force(STEEL, CUT, depth)


def linear(depth: float) -> FloatArray:
    return SLOPE * depth


def test_linear_force_on_a_linear_spring_has_its_closed_form() -> None:
    curve = deflection_curve(spring, linear, DEPTHS)
    actual = DEPTHS / (1.0 + COMPLIANCE[0] @ SLOPE)
    # The root is found to 1e-12 of the depth; the error is its small complement.
    assert curve.actual_depth_mm == pytest.approx(actual, rel=1e-11)
    assert curve.force_n == pytest.approx(np.outer(actual, SLOPE), rel=1e-11)
    expected = 1e3 * np.outer(actual, COMPLIANCE @ SLOPE)
    assert curve.deflection_um == pytest.approx(expected, rel=1e-10)
    assert curve.diameter_error_um == pytest.approx(2.0 * expected[:, 0], rel=1e-9)


def test_kienzle_on_a_spring_agrees_with_plain_iteration() -> None:
    curve = deflection_curve(spring, steel, DEPTHS)
    for row, nominal in enumerate(DEPTHS):
        depth = nominal
        for _ in range(200):  # contracts by about a tenth at each step
            depth = nominal - spring(steel(max(depth, 0.0)))[0]
        assert curve.actual_depth_mm[row] == pytest.approx(depth, abs=1e-11)


def test_nonlinear_stack_is_in_equilibrium_at_every_depth() -> None:
    def softening(force: FloatArray) -> FloatArray:
        motion = spring(force)
        return np.asarray(motion * (1.0 + np.linalg.norm(force) / 500.0))

    curve = deflection_curve(softening, steel, DEPTHS)
    for row in range(DEPTHS.size):
        motion = softening(steel(float(curve.actual_depth_mm[row])))
        assert curve.deflection_um[row] == pytest.approx(1e3 * motion, abs=1e-9)
        closing = DEPTHS[row] - motion[0] - curve.actual_depth_mm[row]
        assert closing == pytest.approx(0.0, abs=1e-11)


def test_a_very_soft_tool_still_cuts_a_little() -> None:
    curve = deflection_curve(lambda f: 1e3 * COMPLIANCE @ f, steel, DEPTHS)
    assert (curve.actual_depth_mm[1:] > 0.0).all()
    assert (curve.actual_depth_mm[1:] < 0.2 * DEPTHS[1:]).all()


def test_tool_drawn_in_cuts_deeper_and_makes_the_work_smaller() -> None:
    drawing = COMPLIANCE.copy()
    drawing[0, 2] = drawing[2, 0] = 3.0e-5  # pressed down, the tip swings in
    curve = deflection_curve(lambda f: drawing @ f, linear, DEPTHS)
    assert (curve.actual_depth_mm[1:] > DEPTHS[1:]).all()
    assert (curve.diameter_error_um[1:] < 0.0).all()


def test_deep_but_stable_drawing_in_is_followed() -> None:
    # 1 + C.k = 0.25: the tool cuts four times what was set.
    curve = deflection_curve(lambda f: np.array([7.5e-4, 0, 0]) * f[2], linear, DEPTHS)
    assert curve.actual_depth_mm == pytest.approx(4.0 * DEPTHS, rel=1e-9)


def test_digging_in_without_end_is_an_error_that_names_the_depth() -> None:
    # 1 + C.k = -0.2: each micrometre of depth draws the tool in by 1.2.
    with pytest.raises(SolveError, match=r"^depth of cut 0\.3 mm: the tool digs in"):
        deflection_curve(
            lambda f: np.array([1.2e-3, 0, 0]) * f[2], linear, np.array([0.3])
        )


def test_a_stack_without_stiffness_is_an_error() -> None:
    with pytest.raises(SolveError, match="no finite stiffness"):
        deflection_curve(lambda f: f * np.nan, linear, np.array([0.3]))


def test_no_cut_no_motion() -> None:
    curve = deflection_curve(spring, steel, np.array([0.0]))
    assert not curve.deflection_um.any()
    assert not curve.diameter_error_um.any()


def test_a_negative_depth_is_refused() -> None:
    with pytest.raises(InputError, match=r"^depth_mm = -0\.1 mm"):
        deflection_curve(spring, steel, np.array([0.2, -0.1]))


def test_in_facing_the_axial_motion_takes_from_the_depth() -> None:
    curve = deflection_curve(spring, linear, DEPTHS, Fed.ACROSS)
    actual = DEPTHS / (1.0 + COMPLIANCE[1] @ SLOPE)
    # The root is found to 1e-12 of the depth; the error is its small complement.
    assert curve.actual_depth_mm == pytest.approx(actual, rel=1e-11)
    left = 1e3 * (DEPTHS - actual)
    assert curve.length_error_um == pytest.approx(left, rel=1e-9, abs=1e-9)
    assert curve.deflection_um[:, 1] == pytest.approx(left, rel=1e-9, abs=1e-9)
    assert not curve.diameter_error_um.any()


def test_a_plunging_tool_cuts_its_width_and_its_radial_motion_is_the_error() -> None:
    curve = deflection_curve(spring, linear, DEPTHS, Fed.IN)
    assert curve.actual_depth_mm.tolist() == DEPTHS.tolist()
    force = np.outer(DEPTHS, SLOPE)
    assert curve.force_n == pytest.approx(force, rel=1e-15)
    radial = 1e3 * force @ COMPLIANCE[0]
    # sums of three products in another order: rounding only
    assert curve.diameter_error_um == pytest.approx(2.0 * radial, rel=1e-12)
    assert not curve.length_error_um.any()


def test_turning_leaves_a_length_alone() -> None:
    assert not deflection_curve(spring, linear, DEPTHS).length_error_um.any()
