"""Cuts of a linear stack: against the equilibrium of one, and in closed form.

A force k a and a compliance c leave c k / (1 + c k) of each setting standing, so that n
passes leave the n-th power of that (spring passes, from memory; derived here).
"""

import numpy as np
import pytest

from fea.machining.deflection import deflection_curve
from fea.measurement.cut_course import (
    FINE,
    CutCourse,
    CutMotion,
    cut_motion,
    depth_cut,
    left_standing,
    tip_at,
)
from geometry.units import UM_PER_MM

SLOPE_N_MM = np.array([150.0, 300.0, -500.0])
COMPLIANCE = np.array(
    [[1.2e-4, 1e-5, 3e-5], [1e-5, 1e-4, 2e-5], [3e-5, 2e-5, 1.1e-4]]
)  # mm/N


def force(depth: float) -> np.ndarray:
    """Rise more slowly at first, as on the nose."""
    return SLOPE_N_MM * (depth - 0.2 * (1.0 - np.exp(-depth / 0.3)))


def motion(work: np.ndarray, law=force) -> CutMotion:  # type: ignore[no-untyped-def]
    depths = np.array([0.3, 0.8, 1.4, 2.0])
    fine = np.linspace(0.0, 2.0, FINE)
    course = CutCourse(
        depth_mm=depths,
        force_n=np.array([law(d) for d in depths]),
        fine_mm=fine,
        fine_force_n=np.array([law(d) for d in fine]),
    )
    moved = course.force_n @ COMPLIANCE.T
    one = np.ones(1)
    return cut_motion(course, moved[None], COMPLIANCE[None], (one, one), work[None])


def test_a_cut_is_in_the_equilibrium_of_a_linear_stack() -> None:
    found = motion(np.zeros((3, 3)))
    wanted = deflection_curve(lambda f: COMPLIANCE @ f, force, np.array([0.5, 1.5]))
    for number, depth in enumerate((0.5, 1.5)):
        cut = depth_cut(found, np.array([depth]))
        # Straight lines between 160 depths: 1e-5 of a depth with so mild a curve.
        assert cut[0] == pytest.approx(wanted.actual_depth_mm[number], rel=1e-4)
        tip = tip_at(found, cut)[0]
        assert tip == pytest.approx(wanted.deflection_um[number], rel=1e-3)


def test_work_that_gives_way_leaves_more_standing() -> None:
    work = np.diag([4e-5, 0.0, 0.0])
    stiff, soft = (
        float(left_standing(motion(each), 1.0, 1)[0]) for each in (0.0 * work, work)
    )
    curve = deflection_curve(lambda f: (COMPLIANCE + work) @ f, force, np.array([1.0]))
    assert soft > stiff
    assert soft == pytest.approx(curve.diameter_error_um[0], rel=1e-3)


@pytest.mark.parametrize("passes", [1, 2, 3])
def test_spring_passes_leave_powers_of_the_first(passes: int) -> None:
    def law(depth: float) -> np.ndarray:
        return np.array([1200.0, 0.0, 0.0]) * depth

    give = COMPLIANCE[0, 0] * 1200.0
    left = (give / (1.0 + give)) ** passes
    found = left_standing(motion(np.zeros((3, 3)), law), 1.0, passes)
    # All is linear, so the straight lines are exact.
    assert found[0] == pytest.approx(2.0 * left * UM_PER_MM, rel=1e-9)


def test_a_tool_that_was_drawn_in_cuts_no_more() -> None:
    drawn = replace_first(motion(np.zeros((3, 3))), -0.05)
    first, second = (left_standing(drawn, 1.0, passes)[0] for passes in (1, 2))
    assert first < 0.0
    assert second == first


def replace_first(found: CutMotion, per_mm: float) -> CutMotion:
    """Draw the tool in by so much per depth."""
    return CutMotion(
        depth_mm=found.depth_mm,
        tip_mm=found.tip_mm,
        apart_mm=per_mm * found.depth_mm[None],
    )
