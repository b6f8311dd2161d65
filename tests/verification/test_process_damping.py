"""Process damping in the limits against more damping of the mode.

A flank that rubs on its waves meets C b v_n/v, so that a mode along the edge's normal
is damped by zeta_e = zeta + C b/(2 v m w), and its least limit is
b = 2 k zeta_e (1 + zeta_e)/Ks; the two are solved together (Tyler & Schmitz; Schmitz &
Smith, Machining Dynamics, 2nd ed.). Their example: C = 2e4 N/m, Ks = 2000 N/mm²,
900 Hz, 0.03 and 9e6 N/m.
"""

import numpy as np
import pytest

from fea.core.modal_model import ModalModel, receptance
from fea.machining.edge_stiffness import (
    EngagedEdge,
    Slopes,
    cutting_matrix,
    rubbing_matrix,
)
from fea.machining.stability import (
    EdgeGrid,
    limits_at,
    search_frequencies,
    smallest_limit,
)
from geometry.pad import FloatArray

STIFFNESS, DAMPING, FREQUENCY, CUTTING, RUBBING = 9.0e3, 0.03, 900.0, 2000.0, 20.0
NATURAL = 2.0 * np.pi * FREQUENCY
MASS = STIFFNESS / NATURAL**2
DIAMETER = 40.0
SEARCHED = 5e-3
"""Between the frequencies and speeds that are tried."""
PLAIN = 2.0 * STIFFNESS * DAMPING * (1.0 + DAMPING) / CUTTING
DEPTHS = np.geomspace(0.05, 20.0, 60)
MODEL = ModalModel(
    frequency_hz=np.array([FREQUENCY]),
    damping_ratio=np.array([DAMPING]),
    shapes=np.array([[0.0, 1.0 / np.sqrt(MASS), 0.0]]),
    residual=np.zeros((3, 3)),
)


def straight_edge(friction: float = 0.0) -> EdgeGrid:
    """Edge along x; its normal is y, the mode's own direction."""
    normal = np.broadcast_to([0.0, 1.0, 0.0], (len(DEPTHS), 1, 3))
    edge = EngagedEdge(
        depth_mm=DEPTHS,
        width_mm=DEPTHS[:, None],
        thickness_mm=np.full((len(DEPTHS), 1), 0.1),
        area_mm2=0.1 * DEPTHS[:, None],
        normal=normal,
    )
    every = np.ones((len(DEPTHS), 1))
    slopes = Slopes(tangential=0.0 * every, thrust=CUTTING * every)
    return EdgeGrid(
        depth_mm=DEPTHS,
        cutting=cutting_matrix(edge, slopes),
        damping=rubbing_matrix(edge, RUBBING, friction),
    )


def limits(speed_rpm: FloatArray, edge: EdgeGrid) -> FloatArray:
    frequency = search_frequencies(MODEL)
    gain = receptance(MODEL, frequency)
    return limits_at(frequency, gain, edge, speed_rpm, DIAMETER).depth_mm


def cutting_speed(speed_rpm: float) -> float:
    return float(np.pi * DIAMETER * speed_rpm / 60.0)


def damped_limit(speed_rpm: float) -> float:
    """Least limit at a cutting speed: limit and damping, solved together."""
    ratio = DAMPING
    for _ in range(200):
        limit = 2.0 * STIFFNESS * ratio * (1.0 + ratio) / CUTTING
        ratio = DAMPING + RUBBING * limit / (
            2.0 * cutting_speed(speed_rpm) * MASS * NATURAL
        )
    return limit


@pytest.mark.parametrize("speed_rpm", [60.0, 100.0, 150.0, 300.0, 600.0])
def test_least_limit_about_a_speed_is_that_of_a_better_damped_mode(
    speed_rpm: float,
) -> None:
    waves = 60.0 * FREQUENCY / speed_rpm
    # All phases of the wave are met within a lobe's width about the speed.
    about = speed_rpm * (1.0 + np.linspace(-0.5, 0.5, 61) / waves)
    found = limits(about, straight_edge()).min()
    expected = damped_limit(speed_rpm)
    assert expected > 1.03 * PLAIN
    # Rubbing falls by 1/waves over these speeds, and the part that it adds with it.
    spare = SEARCHED * expected + (expected - PLAIN) / waves
    assert found == pytest.approx(expected, abs=spare)


def test_gain_at_low_speed_is_large_and_ends_in_stability() -> None:
    # From b = 2 k zeta_e (1 + zeta_e)/Ks: where w C > v Ks no width chatters at all.
    never = NATURAL * RUBBING / CUTTING
    slow = never / np.pi / DIAMETER * 60.0
    speeds = slow * np.array([0.5, 0.9, 1.5, 3.0, 10.0, 100.0])
    found = limits(speeds, straight_edge())
    assert np.isinf(found[:2]).all()
    assert np.isfinite(found[2:]).all()
    assert (np.diff(found[2:]) < 0.0).all()
    assert found[2] > 2.0 * PLAIN
    # At speed nothing of it is left, but for lobes above the least limit.
    assert found[-1] == pytest.approx(PLAIN, rel=0.1)


def test_process_damping_does_not_touch_the_least_limit_over_all_speeds() -> None:
    frequency = search_frequencies(MODEL)
    found = smallest_limit(frequency, receptance(MODEL, frequency), straight_edge())
    assert found.depth_mm[0] == pytest.approx(PLAIN, rel=SEARCHED)


def test_friction_of_the_flank_does_nothing_to_a_mode_along_the_normal() -> None:
    speeds = np.array([120.0, 400.0, 900.0])
    assert limits(speeds, straight_edge(friction=0.3)) == pytest.approx(
        limits(speeds, straight_edge()), rel=1e-9
    )
