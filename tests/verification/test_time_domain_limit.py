"""Simulation of the cut in time against closed forms of regenerative chatter.

One mode, force in proportion to the chip: least stable width b = 2 k zeta (1 + zeta)/Kf
at the frequency f sqrt(1 + 2 zeta), speeds from fc/Omega = N + eps/2pi with
eps = 3 pi + 2 psi, psi the receptance's phase (Tlusty; Altintas, Manufacturing
Automation; Schmitz & Smith, Machining Dynamics). Vectors of a small lathe's size were
recomputed apart from this code, as was the semi-discretisation of the delay equation.

Several directions: the cut neither grows nor dies where an eigenvalue e of receptance
times cutting stiffness meets 1 + e (1 - exp(-i w T)) = 0; over all speeds the least
such cut has Re e = -1/2 (|1 + e| = |e|). With one straight edge, b = -1/(2 Re G) of
the oriented receptance G.

Process damping: Fd = C b v/V, so that zeta_e = zeta + C b/(2 V m w), and the limit is
b = 2 k zeta_e (1 + zeta_e)/Kf (Tyler & Schmitz).

Tolerance of limits: 1 %. A force that is linear within steps of 1/25 period is off by
(2 pi/25)²/12 = 0.5 %, and growth is measured over some 30 revolutions, which leaves it
up to 1 % a revolution too small where many waves fit into one.
"""

import dataclasses

import numpy as np
import pytest
from scipy.optimize import brentq
from simulated_cut import (
    ROUND,
    STEEL,
    TWO_MODES,
    one_mode,
    turning,
    worst_speed,
)

from fea.core.modal_model import ModalModel, receptance
from fea.machining.chip import chip_elements
from fea.machining.cut import Cut
from fea.machining.edge_stiffness import (
    cutting_matrix,
    force_slopes,
    rubbing_matrix,
    turning_edge,
)
from fea.machining.growth import growth_per_revolution, limit_by_simulation
from fea.machining.stability import EdgeGrid, limits_at, search_frequencies
from fea.machining.time_domain import Turning

LIMIT_TOLERANCE = 0.01


@pytest.mark.parametrize("waves", [0, 1, 8])
@pytest.mark.parametrize(
    ("stiffness", "damping", "frequency", "cutting", "limit"),
    [
        (2.0e4, 0.03, 200.0, 684.0, 1.8070),
        (1.0e4, 0.04, 300.0, 600.0, 1.3867),
        (5.0e4, 0.03, 500.0, 2000.0, 1.5450),
        (2.0e4, 0.05, 500.0, 2000.0, 1.0500),
    ],
)
def test_one_modes_limit_is_the_closed_form(
    stiffness: float,
    damping: float,
    frequency: float,
    cutting: float,
    limit: float,
    waves: int,
) -> None:
    model = one_mode(stiffness, damping, frequency)
    cut = turning(model, cutting, worst_speed(damping, frequency, waves))
    found = limit_by_simulation(cut, 0.6 * limit, 1.6 * limit)
    assert found == pytest.approx(limit, rel=LIMIT_TOLERANCE)


def test_growth_a_revolution_is_that_of_the_semi_discretised_equation() -> None:
    # Mode of 250 Hz, 0.012 and 2.26e8 N/m at 30 degrees, Kf = 1000 MPa, 8664.3 rev/min:
    # radius 0.9965, 0.99997 and 1.0034 at 0.97, 1 and 1.03 of 7.3188 mm. The steps'
    # 0.5 % of the width are 0.0006 of radius.
    cut = turning(one_mode(2.26e5, 0.012, 250.0, tilt_deg=30.0), 1000.0, 8664.3)
    growth = growth_per_revolution(cut, 7.3188 * np.array([0.97, 1.0, 1.03]))
    assert np.exp(growth) == pytest.approx([0.9965, 0.99997, 1.0034], abs=6.5e-4)


def oriented_limit(model: ModalModel, cutting: float, speed_rpm: float) -> float:
    """Limit width of the sharp edge at one speed, on a fine grid of frequencies."""
    frequency = np.arange(100.0, 600.0, 0.001)
    response = receptance(model, frequency)
    # Thrust along y and the same force downward, felt along y.
    along = cutting * (response[:, 1, 1] - response[:, 1, 2])
    # `miss` also jumps where it is half a turn off, which is no solution.
    part = (3.0 * np.pi + 2.0 * np.angle(along)) / (2.0 * np.pi)
    turn = frequency * 60.0 / speed_rpm - part
    miss = turn - np.round(turn)
    crossed = (miss[:-1] * miss[1:] <= 0.0) & (np.abs(miss[:-1] - miss[1:]) < 0.5)
    width = -0.5 / along.real[:-1][crossed & (along.real[:-1] < 0.0)]
    return float(width.min())


@pytest.mark.parametrize("speed_rpm", [900.0, 4300.0, 5600.0])
def test_two_modes_in_space_have_the_oriented_receptances_limit(
    speed_rpm: float,
) -> None:
    limit = oriented_limit(TWO_MODES, 1500.0, speed_rpm)
    cut = turning(TWO_MODES, 1500.0, speed_rpm)
    found = limit_by_simulation(cut, 0.6 * limit, 1.6 * limit)
    assert found == pytest.approx(limit, rel=LIMIT_TOLERANCE)


def test_what_is_left_to_residual_compliance_counts_within_the_step() -> None:
    # The motion that it gives is 0.18 of what the chip allows for: a force that lags a
    # step behind misses the limit by 4 %.
    model = dataclasses.replace(TWO_MODES, residual=np.diag([2e-5, 3e-5, 2e-5]))
    limit = oriented_limit(model, 1500.0, 4300.0)
    cut = turning(model, 1500.0, 4300.0)
    found = limit_by_simulation(cut, 0.7 * limit, 1.3 * limit)
    assert found == pytest.approx(limit, rel=LIMIT_TOLERANCE)


def round_edge_stiffness(depth: float) -> np.ndarray:
    """Change of the force with the tool's motion, by Kienzle's law piece by piece.

    Below 0.03 mm of chip that of a parabola through no force at no chip.
    """
    chip = chip_elements(ROUND, np.array([depth]))
    used = chip.area_mm2[0] > 0.0
    h, area, angle = (
        each[0, used] for each in (chip.thickness_mm, chip.area_mm2, chip.normal_angle)
    )
    width, q = area / h, STEEL.thrust.thin_chip_exponent

    def slope(power: float) -> np.ndarray:
        thin = 0.03 ** (power - 1.0) * (2.0 - power + 2.0 * (power - 1.0) * h / 0.03)
        return np.where(h < 0.03, thin, power * h ** (power - 1.0))

    keen = STEEL.kc11_mpa * slope(1.0 - STEEL.mc) * width
    thin = STEEL.kc11_mpa * STEEL.thrust.ratio * 0.2**q * slope(1.0 - STEEL.mc - q)
    thin *= width
    normal = np.array([np.cos(angle), np.sin(angle), np.zeros_like(angle)])
    pushed = np.array([thin * normal[0], thin * normal[1], -keen])
    return -pushed @ normal.T


def test_nose_and_kienzles_law_have_the_linear_theorys_least_limit() -> None:
    frequency = np.arange(150.0, 400.0, 0.02)
    response = receptance(TWO_MODES, frequency)

    def loops(depth: float) -> np.ndarray:
        return np.linalg.eigvals(response @ round_edge_stiffness(depth))

    limit = float(brentq(lambda depth: loops(depth).real.max() - 0.5, 0.2, 5.0))
    # The speed at which a whole number of turns and the wave's own phase agree there.
    worst = loops(limit)
    place = np.unravel_index(worst.real.argmax(), worst.shape)
    turns = -np.angle(1.0 - 1.0 / worst[place]) / (2.0 * np.pi) % 1.0
    speed = 60.0 * frequency[place[0]] / (10.0 + turns)
    cut = Turning(
        model=TWO_MODES,
        cut=ROUND,
        edge_at=turning_edge,
        material=STEEL,
        speed_rpm=speed,
        diameter_mm=50.0,
    )
    found = limit_by_simulation(cut, 0.6 * limit, 1.6 * limit)
    assert found == pytest.approx(limit, rel=LIMIT_TOLERANCE)


NOSES = {
    "large nose, thin chip": (0.05, 0.8, 90.0, 20.0),
    "usual": (0.1, 0.4, 90.0, 20.0),
    "small nose, coarse feed": (0.2, 0.2, 75.0, 0.0),
}


@pytest.mark.parametrize("name", NOSES)
@pytest.mark.parametrize("speed_rpm", [900.0, 2600.0])
def test_on_a_nose_the_simulation_begins_to_chatter_where_the_chart_says(
    name: str, speed_rpm: float
) -> None:
    feed, nose, angle, rubbing = NOSES[name]
    cut = Cut(feed_mm=feed, entering_angle_deg=angle, nose_radius_mm=nose, rake_deg=0.0)
    depths = np.geomspace(0.03, 8.0, 16)
    edge = turning_edge(cut, depths)
    frequency = search_frequencies(TWO_MODES)
    chart = limits_at(
        frequency,
        receptance(TWO_MODES, frequency),
        EdgeGrid(
            depth_mm=depths,
            cutting=cutting_matrix(edge, force_slopes(STEEL, cut, edge)),
            damping=rubbing_matrix(edge, rubbing, 0.3),
        ),
        np.array([speed_rpm]),
        50.0,
    )
    limit = float(chart.depth_mm[0])
    simulated = Turning(
        model=TWO_MODES,
        cut=cut,
        edge_at=turning_edge,
        material=STEEL,
        speed_rpm=speed_rpm,
        diameter_mm=50.0,
        process_damping_n_per_mm=rubbing,
        friction=0.3,
    )
    found = limit_by_simulation(simulated, 0.7 * limit, 1.4 * limit)
    # 1 % each of the growth measured and of the depths, which are as far apart as
    # a chart's, 1.45 times.
    assert found == pytest.approx(limit, rel=0.02)


def test_process_damping_raises_the_limit_as_more_damping_does() -> None:
    stiffness, damping, frequency, cutting, constant = 2.0e4, 0.03, 200.0, 684.0, 400.0
    natural = 2.0 * np.pi * frequency
    # The speed sets the damping and the damping the worst speed: a few rounds agree.
    ratio = damping
    for _ in range(20):
        rpm = worst_speed(ratio, frequency, waves=12)
        limit = 2.0 * stiffness * ratio * (1.0 + ratio) / cutting
        mass, speed = stiffness / natural**2, np.pi * 50.0 * rpm / 60.0
        ratio = damping + constant * limit / (2.0 * speed * mass * natural)
    assert ratio > 1.2 * damping
    plain = turning(one_mode(stiffness, damping, frequency), cutting, rpm)
    cut = dataclasses.replace(plain, process_damping_n_per_mm=constant)
    found = limit_by_simulation(cut, 0.6 * limit, 1.6 * limit)
    assert found == pytest.approx(limit, rel=LIMIT_TOLERANCE)
