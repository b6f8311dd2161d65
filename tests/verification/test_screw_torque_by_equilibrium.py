"""A screw turned by hand, by work and by the balance of forces, without its formulas.

- Without friction all of the hand's work goes into the load: 2 pi T = F lead.
- A square thread unrolled is a block on a slope; its push is found here by solving the
  balance of normal force, friction, load and push as two equations.
"""

from collections.abc import Callable
from math import atan2, cos, pi, sin

import numpy as np
import pytest

from fea.core.lubrication import Friction, load_lubrications
from fea.core.screw_torque import (
    Screw,
    is_self_holding,
    lowering_torque,
    nut_screw,
    point_screw,
    raising_torque,
    tightened_force,
    tightening_torque,
    torque_coefficient,
)

NO_FRICTION = Friction(thread=0.0, bearing=0.0, face=0.0)
FORCE_N = 10_000.0
SIZES_MM = (5.0, 8.0, 12.0, 20.0, 30.0)

# Closed forms on both sides.
EXACT = 1e-12


def square_thread(diameter: float, lead: float) -> Screw:
    return Screw(
        diameter=diameter,
        lead=lead,
        thread_diameter=diameter,
        bearing_diameter=0.0,
        half_angle_deg=0.0,
    )


def push_on_slope(load: float, slope: float, friction: float, uphill: float) -> float:
    """Level push that moves a block on a slope, from the balance of forces. [N]."""
    normal = np.array([-sin(slope), cos(slope)])
    up = np.array([cos(slope), sin(slope)])
    # Unknown: normal force N and push P along x. N (n - mu u) + P x = load upward.
    matrix = np.column_stack([normal - uphill * friction * up, [1.0, 0.0]])
    _, push = np.linalg.solve(matrix, [0.0, load])
    return float(push)


@pytest.mark.parametrize("make", [nut_screw, point_screw])
@pytest.mark.parametrize("diameter", SIZES_MM)
def test_without_friction_the_load_gets_all_the_work(
    make: Callable[[float], Screw], diameter: float
) -> None:
    screw = make(diameter)
    work = FORCE_N * screw.lead
    for torque in (raising_torque, tightening_torque):
        assert 2.0 * pi * torque(screw, FORCE_N, NO_FRICTION) == pytest.approx(work)
    given_back = -2.0 * pi * lowering_torque(screw, FORCE_N, NO_FRICTION)
    assert given_back == pytest.approx(work)
    assert not is_self_holding(screw, NO_FRICTION)


@pytest.mark.parametrize("friction", [0.05, 0.12, 0.2])
@pytest.mark.parametrize(("diameter", "lead"), [(10.0, 2.0), (20.0, 10.0)])
def test_a_square_thread_is_a_block_on_a_slope(
    diameter: float, lead: float, friction: float
) -> None:
    screw = square_thread(diameter, lead)
    slope = atan2(lead, pi * diameter)
    rubbing = Friction(thread=friction, bearing=0.0, face=0.0)
    raised = push_on_slope(FORCE_N, slope, friction, 1.0) * diameter / 2.0
    lowered = -push_on_slope(FORCE_N, slope, friction, -1.0) * diameter / 2.0
    assert raising_torque(screw, FORCE_N, rubbing) == pytest.approx(raised, rel=EXACT)
    assert lowering_torque(screw, FORCE_N, rubbing) == pytest.approx(lowered, rel=EXACT)
    assert is_self_holding(screw, rubbing) == (lowered > 0.0)


@pytest.mark.parametrize("key", list(load_lubrications()))
@pytest.mark.parametrize("diameter", SIZES_MM)
def test_the_fastening_formula_is_the_power_screws_for_a_small_lead(
    diameter: float, key: str
) -> None:
    friction, screw = load_lubrications()[key].friction, nut_screw(diameter)
    fastened = tightening_torque(screw, FORCE_N, friction)
    driven = raising_torque(screw, FORCE_N, friction)
    # It leaves out f tan(lead angle) of the thread, at most 0.23 x 0.057.
    assert driven == pytest.approx(fastened, rel=0.014)
    assert driven > fastened


@pytest.mark.parametrize("key", list(load_lubrications()))
@pytest.mark.parametrize("diameter", SIZES_MM)
def test_the_formula_agrees_with_the_handbooks_coefficient_within_its_band(
    diameter: float, key: str
) -> None:
    oil = load_lubrications()[key]
    low, high = oil.coefficient_band
    assert low <= torque_coefficient(nut_screw(diameter), oil.friction) <= high
    assert low <= oil.torque_coefficient <= high


@pytest.mark.parametrize("key", list(load_lubrications()))
def test_more_friction_leaves_less_force(key: str) -> None:
    oil = load_lubrications()[key]
    forces = [
        tightened_force(nut_screw(12.0), 50_000.0, friction)
        for friction in (oil.sticky, oil.friction, oil.slippery)
    ]
    assert forces == sorted(forces)
    assert forces[0] < 0.95 * forces[1] < 0.95**2 * forces[2]
