"""What a simulated cut keeps: the surface's memory, energy, equilibrium and decay.

Sources: multiple regeneration, chip = least over j of (u(t - j T) + j feed) - u(t), and
0 out of the cut (Tlusty & Ismail; Schmitz & Smith, Machining Dynamics; from memory);
the least stable width of one mode, b = 2 k zeta (1 + zeta)/Kf = 1.8070 mm for
2e4 N/mm, 0.03 and Kf = 684 MPa; damped free swing of one mode, any text on vibration.
"""

import dataclasses

import numpy as np
import pytest
from simulated_cut import (
    ROUND,
    SHARP,
    STEEL,
    TWO_MODES,
    one_mode,
    turning,
    worst_speed,
)

from fea.core.modal_model import receptance
from fea.machining.deflection import deflection_curve
from fea.machining.edge_stiffness import turning_edge
from fea.machining.force import cutting_force
from fea.machining.time_domain import Simulation, Turning, simulate


def swing(run: Simulation, steps: int) -> tuple[float, float]:
    """Peak to peak along y early (third revolution) and in the last one. [mm]."""
    return float(np.ptp(run.motion_mm[2 * steps : 3 * steps, 1])), float(
        run.peak_to_peak_mm[1]
    )


def test_a_knock_dies_below_the_limit_and_grows_above_it() -> None:
    limit, damping, frequency = 1.8070, 0.03, 200.0
    model = one_mode(2.0e4, damping, frequency)
    cut = turning(model, 684.0, worst_speed(damping, frequency, waves=2))
    early, late = swing(simulate(cut, 0.9 * limit, 150, knock_mm=1e-5), cut.steps)
    assert late < 0.5 * early
    early, late = swing(simulate(cut, 1.1 * limit, 150, knock_mm=1e-5), cut.steps)
    assert late > 2.0 * early


def test_chatter_stops_growing_once_the_tool_leaves_the_cut() -> None:
    limit, damping, frequency = 1.8070, 0.03, 200.0
    model = one_mode(2.0e4, damping, frequency)
    cut = turning(model, 684.0, worst_speed(damping, frequency, waves=2))
    runs = [simulate(cut, 1.3 * limit, number) for number in (200, 400)]
    swings = [float(run.peak_to_peak_mm[1]) for run in runs]
    # Settled: what is left to grow after 200 revolutions is rounding and a beat.
    assert swings[0] == pytest.approx(swings[1], rel=0.02)
    assert runs[1].cutting_share < 0.95
    # Out of the cut for part of each wave, it swings further than the chip is thick,
    # yet not further than the few feeds that the surface can be ahead.
    assert SHARP.feed_mm < swings[1] < 5.0 * SHARP.feed_mm
    # Where the chip is in proportion, a swing out of the cut gives exactly no force.
    assert runs[1].force_n.max() == pytest.approx(runs[1].force_n[:, 1].max())
    assert (runs[1].force_n == 0.0).all(axis=1).any()


def chattering() -> tuple[Turning, float, Simulation]:
    cut = turning(one_mode(2.0e4, 0.03, 200.0), 684.0, worst_speed(0.03, 200.0, 2))
    width = 2.5
    return cut, width, simulate(cut, width, 200)


def test_the_chip_reaches_to_the_deepest_of_all_earlier_revolutions() -> None:
    cut, width, run = chattering()
    # One row for each revolution; before the first the surface was cut at rest.
    stands = run.motion_mm[:, 1].reshape(-1, cut.steps)
    ago = np.arange(1, 9)[:, None, None]
    earlier = np.stack([np.roll(stands, number, axis=0) for number in range(1, 9)])
    surface = (earlier + ago * SHARP.feed_mm)[:, 10:].min(axis=0)
    expected = 684.0 * width * np.maximum(surface - stands[10:], 0.0)
    found = run.force_n[:, 1].reshape(-1, cut.steps)[10:]
    # Force and motion of a step agree but for what two evaluations leave.
    assert found == pytest.approx(expected, abs=1e-3 * expected.max())
    # More than the revolution before is needed: the test would see it forgotten.
    short = np.maximum(SHARP.feed_mm + stands[9:-1] - stands[10:], 0.0)
    assert np.abs(684.0 * width * short - found).max() > 0.1 * expected.max()


def test_chatter_that_has_settled_spends_on_damping_what_the_force_brings_in() -> None:
    cut, _, run = chattering()
    many = slice(-100 * cut.steps, None)
    motion, force = run.motion_mm[many, 1], run.force_n[many, 1]
    step = run.time_s[1] - run.time_s[0]
    brought = np.sum(0.5 * (force[1:] + force[:-1]) * np.diff(motion))
    natural = 2.0 * np.pi * 200.0
    resistance = 2.0 * 0.03 * natural * 2.0e4 / natural**2
    spent = resistance * np.sum(np.diff(motion) ** 2) / step
    # Speed taken as constant within 1/25 of a period: (2 pi/25)²/12 = 0.5 %, and the
    # energy of the swing at the two ends differs by less than that of a hundredth.
    assert brought == pytest.approx(spent, rel=0.01)


def test_a_steady_cut_deflects_as_the_equilibrium_says() -> None:
    static = TWO_MODES.static_compliance
    depths = np.array([0.6])
    # Without a nose: on one, thin chips push a little less than in the static law.
    straight = dataclasses.replace(ROUND, nose_radius_mm=0.0)
    equal = deflection_curve(
        lambda force: static @ force,
        lambda depth: cutting_force(STEEL, straight, depth),
        depths,
    )
    cut = Turning(
        model=TWO_MODES,
        cut=straight,
        edge_at=turning_edge,
        material=STEEL,
        speed_rpm=600.0,
        diameter_mm=50.0,
    )
    run = simulate(cut, float(equal.actual_depth_mm[0]), 100)
    # The entry's swing has died to a part in 1e5 by then, well below the tolerance.
    assert run.motion_mm[-1] * 1e3 == pytest.approx(equal.deflection_um[0], rel=1e-4)
    assert run.force_n[-1] == pytest.approx(equal.force_n[0], rel=1e-4)


def test_before_the_first_revolution_ends_a_swing_dies_with_the_modes_damping() -> None:
    # The surface that is met was not cut while swinging, so the chip is a plain spring:
    # w² = w0² + Kf b/m, and the amplitude dies as exp(-zeta w0 t).
    stiffness, damping, frequency, cutting, width = 2.0e4, 0.03, 200.0, 684.0, 3.0
    model = one_mode(stiffness, damping, frequency)
    cut = turning(model, cutting, 150.0)
    run = simulate(cut, width, 1)
    natural = 2.0 * np.pi * frequency
    spring = cutting * width
    settled = spring * SHARP.feed_mm / (stiffness + spring)
    stiffer = natural * np.sqrt(1.0 + spring / stiffness - damping**2)
    # The force rises within the first step instead of at once: half a step late. The
    # rest is 0.2 % of the chip's spring, so of a swing that turns some 20 rad to die.
    late = run.time_s - 0.5 * run.time_s[0]
    swung = np.cos(stiffer * late)
    swung += damping * natural / stiffer * np.sin(stiffer * late)
    expected = settled * (1.0 - np.exp(-damping * natural * late) * swung)
    assert np.abs(run.motion_mm[:, 1] - expected).max() < 0.01 * settled


def test_a_settled_swing_does_not_depend_on_the_step_even_beside_soft_residuals(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # A residual c raises Re G; of the limit x = Kf b, 1/x = 1/(2 k zeta (1 + zeta)) -
    # 2 c. At 1.3 of it, c gives back 0.7 of what the chip allows for, 1.3 x c = 0.7.
    stiffness, damping, frequency = 2.0e4, 0.03, 200.0
    least = 1.0 / (4.0 * stiffness * damping * (1.0 + damping))
    limit = (0.5 + 0.7 / 1.3) / least
    residual = 0.7 / (1.3 * limit)
    soft = dataclasses.replace(
        one_mode(stiffness, damping, frequency), residual=np.eye(3) * residual
    )
    r = np.sqrt(1.0 + 2.0 * damping)
    gain = receptance(soft, np.array([frequency * r]))[0, 1, 1]
    waves = 2.0 + (3.0 + 2.0 * np.angle(gain) / np.pi) % 2.0 / 2.0
    cut, depth = turning(soft, 684.0, 60.0 * frequency * r / waves), 1.3 * limit / 684.0
    swings = []
    for steps in (25, 100):
        monkeypatch.setattr("fea.machining.time_domain.STEPS_PER_PERIOD", steps)
        swings.append(float(simulate(cut, depth, 150).peak_to_peak_mm[1]))
    assert swings[0] > SHARP.feed_mm
    # The coarse step's own 0.5 %, and as much for the moment of leaving the cut.
    assert swings[0] == pytest.approx(swings[1], rel=0.02)
