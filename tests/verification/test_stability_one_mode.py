"""Limits of one mode against closed forms.

Least stable width b = 2 k zeta (1 + zeta) / Kf at f sqrt(1 + 2 zeta), and lobes at
Omega = 60 fc / (N + eps/2pi), eps = 3 pi + 2 psi with psi the phase of the receptance
(Tlusty; Altintas, Manufacturing Automation; Schmitz & Smith, Machining Dynamics). The
mode at 30 degrees is from a course's exercise (250 Hz, 0.012, 2.26e8 N/m, 1000 MPa);
its numbers and those of the small lathe's size were recomputed apart from this code.

Process damping: Fd = C b v_n / V, so that zeta_e = zeta + C b / (2 V m w), and b is
that of zeta_e (Tyler & Schmitz; Schmitz & Smith), with their C = 2e4 N/m,
Ks = 2000 N/mm2, k = 9e6 N/m, 900 Hz, 0.03.

Tolerance: the search stops within 0.1 % of the depth, and q = -1 / lambda is taken to
be straight between frequencies: 0.2 % in all; 0.1 % for frequencies.
"""

import numpy as np
import pytest
from delay_equation import growth_rate
from simulated_cut import one_mode

from fea.core.modal_model import ModalModel, receptance
from fea.machining.cut import Cut
from fea.machining.edge_stiffness import cutting_matrix, force_slopes, turning_edge
from fea.machining.stability import (
    EdgeGrid,
    Limits,
    limits_at,
    search_frequencies,
    smallest_limit,
)
from fea.machining.work_material import load_work_materials

STOPS = 2e-3
DEPTHS = np.geomspace(0.05, 60.0, 12)
LATHE = [
    (2.0e4, 0.03, 200.0, 684.0, 1.8070, 205.91),
    (1.0e4, 0.04, 300.0, 600.0, 1.3867, 311.77),
    (5.0e4, 0.03, 500.0, 2000.0, 1.5450, 514.78),
    (2.0e4, 0.05, 500.0, 2000.0, 1.0500, 524.40),
]


def along_y(cutting: float, constant: float = 0.0) -> EdgeGrid:
    """A straight edge that is pushed along its normal y, `cutting` N/mm2."""
    normal = np.diag([0.0, 1.0, 0.0])
    return EdgeGrid(
        depth_mm=DEPTHS,
        cutting=cutting * DEPTHS[:, None, None] * normal,
        damping=constant * DEPTHS[:, None, None] * normal,
    )


def at_speeds(
    model: ModalModel, edge: EdgeGrid, speed_rpm: np.ndarray, diameter: float = 50.0
) -> Limits:
    frequency = search_frequencies(model)
    return limits_at(frequency, receptance(model, frequency), edge, speed_rpm, diameter)


def least(model: ModalModel, edge: EdgeGrid) -> Limits:
    frequency = search_frequencies(model)
    return smallest_limit(frequency, receptance(model, frequency), edge)


def lobe_bottom(damping: float, frequency: float, waves: int) -> float:
    r = np.sqrt(1.0 + 2.0 * damping)
    phase = np.angle(1.0 / (1.0 - r**2 + 2j * damping * r))
    part = (3.0 * np.pi + 2.0 * phase) % (2.0 * np.pi) / (2.0 * np.pi)
    return float(60.0 * frequency * r / (waves + part))


@pytest.mark.parametrize(
    ("stiffness", "damping", "frequency", "cutting", "width", "chatter"), LATHE
)
def test_smallest_limit_is_the_closed_form(
    stiffness: float,
    damping: float,
    frequency: float,
    cutting: float,
    width: float,
    chatter: float,
) -> None:
    found = least(one_mode(stiffness, damping, frequency), along_y(cutting))
    exact = 2.0 * stiffness * damping * (1.0 + damping) / cutting
    assert exact == pytest.approx(width, abs=6e-5)
    assert found.depth_mm[0] == pytest.approx(width, rel=STOPS)
    assert found.frequency_hz[0] == pytest.approx(chatter, rel=1e-3)


def test_a_tilted_mode_has_the_exercises_limit_frequency_and_lobes() -> None:
    model, edge = one_mode(2.26e5, 0.012, 250.0, tilt_deg=30.0), along_y(1000.0)
    found = least(model, edge)
    assert found.depth_mm[0] == pytest.approx(7.3188, rel=STOPS)
    assert found.frequency_hz[0] == pytest.approx(252.98, rel=1e-3)
    bottoms = np.array([20187.8, 8664.3, 5515.8, 4045.7, 3194.3])
    assert [lobe_bottom(0.012, 250.0, n) for n in range(5)] == pytest.approx(
        bottoms.tolist(), abs=0.06
    )
    at_bottom = at_speeds(model, edge, bottoms)
    assert at_bottom.depth_mm == pytest.approx(np.full(5, 7.3188), rel=STOPS)
    assert at_bottom.frequency_hz == pytest.approx(np.full(5, 252.98), rel=1e-3)
    beside = at_speeds(model, edge, np.append(0.97 * bottoms, 1.03 * bottoms))
    assert (beside.depth_mm > 1.005 * 7.3188).all()


def test_along_a_lobe_width_and_speed_are_those_of_each_frequency() -> None:
    stiffness, damping, natural, cutting = 2.0e4, 0.03, 200.0, 684.0
    model = one_mode(stiffness, damping, natural)
    chatter = natural * np.array([1.01, 1.02, 1.04, 1.08, 1.15])
    gain = receptance(model, chatter)[:, 1, 1]
    part = (3.0 + 2.0 * np.angle(gain) / np.pi) % 2.0 / 2.0
    # The second lobe from the right; others may cut it off.
    speed = 60.0 * chatter / (1.0 + part)
    found = at_speeds(model, along_y(cutting), speed)
    width = -0.5 / (cutting * gain.real)
    assert (found.depth_mm <= width * (1.0 + STOPS)).all()
    own = np.abs(found.frequency_hz / chatter - 1.0) < 1e-3
    assert own.sum() >= 3
    assert found.depth_mm[own] == pytest.approx(width[own], rel=STOPS)


@pytest.mark.parametrize("angle", [45.0, 60.0, 90.0])
def test_entering_angle_turns_width_into_depth_and_tilts_the_normal(
    angle: float,
) -> None:
    steel = load_work_materials()["medium_carbon_steel"]
    stiffness, damping, frequency = 2.0e4, 0.03, 200.0
    # Chip as thick at every angle, so that the slopes are the same.
    kappa = np.radians(angle)
    cut = Cut(
        feed_mm=0.1 / np.sin(kappa),
        entering_angle_deg=angle,
        nose_radius_mm=0.0,
        rake_deg=0.0,
    )
    turned = turning_edge(cut, DEPTHS)
    slopes = force_slopes(steel, cut, turned)
    edge = EdgeGrid(
        depth_mm=DEPTHS,
        cutting=cutting_matrix(turned, slopes),
        damping=np.zeros((len(DEPTHS), 3, 3)),
    )
    thrust = (
        0.78 * 1500.0 * 0.1**-0.22 * 0.65 * (0.2 / 0.1) ** 0.27 * (1.0 - 0.27 / 0.78)
    )
    width = 2.0 * stiffness * damping * (1.0 + damping) / thrust
    for tilt_deg in (0.0, 30.0):
        found = least(one_mode(stiffness, damping, frequency, tilt_deg), edge)
        # The mode is at kappa - 90 - tilt from the normal: felt and pushed by a cosine.
        lean = np.cos(np.pi / 2.0 - kappa - np.radians(tilt_deg))
        expected = width * np.sin(kappa) / lean**2
        assert found.depth_mm[0] == pytest.approx(expected, rel=STOPS)


STIFFNESS, DAMPING, NATURAL, SPECIFIC, CONSTANT = 9.0e3, 0.03, 900.0, 2000.0, 20.0


def damped_limit(rpm: float, diameter: float) -> float:
    """Limit by repeated zeta_e = zeta + C b / (2 V m w), at the bottom of a lobe."""
    mass = STIFFNESS / (2.0 * np.pi * NATURAL) ** 2
    speed = np.pi * diameter * rpm / 60.0
    width = 0.0
    for _ in range(200):
        ratio = DAMPING + CONSTANT * width / (
            2.0 * speed * mass * 2.0 * np.pi * NATURAL
        )
        width = 2.0 * STIFFNESS * ratio * (1.0 + ratio) / SPECIFIC
    return width


@pytest.mark.parametrize("rpm", [150.0, 300.0, 600.0, 2000.0])
def test_process_damping_raises_the_limit_to_the_fixed_point(rpm: float) -> None:
    diameter = 60.0
    expected = damped_limit(rpm, diameter)
    # Among so many lobes the worst speed is near: the least over one lobe's speeds.
    speeds = np.linspace(rpm, rpm * (1.0 + 2.0 * rpm / (60.0 * NATURAL)), 60)
    model = one_mode(STIFFNESS, DAMPING, NATURAL)
    found = at_speeds(model, along_y(SPECIFIC, CONSTANT), speeds, diameter)
    # The speed differs by a lobe's width, and so does what it adds to the limit.
    added = expected - damped_limit(1e9, diameter)
    spare = STOPS * expected + added * (speeds[-1] / rpm - 1.0)
    assert found.depth_mm.min() == pytest.approx(expected, abs=spare)


def test_with_process_damping_roots_cross_at_the_limit() -> None:
    model = one_mode(STIFFNESS, DAMPING, NATURAL)
    # Few waves a revolution, for the roots' sake, so the work is thin and rubs hard.
    speeds, diameter, constant = np.array([7000.0, 12000.0, 23000.0]), 3.0, 200.0
    found = at_speeds(model, along_y(SPECIFIC, constant), speeds, diameter)
    plain = at_speeds(model, along_y(SPECIFIC), speeds, diameter)
    assert (found.depth_mm > 1.03 * plain.depth_mm).all()
    for rpm, limit in zip(speeds, found.depth_mm, strict=True):
        v = np.pi * diameter * rpm / 60.0
        rates = [
            growth_rate(
                model,
                SPECIFIC * width * np.diag([0.0, 1.0, 0.0]),
                constant / v * width * np.diag([0.0, 1.0, 0.0]),
                60.0 / rpm,
            )
            for width in (0.99 * limit, 1.01 * limit)
        ]
        assert rates[0] < 0.0 < rates[1]
