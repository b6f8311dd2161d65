"""Limits of regenerative chatter against closed forms and lobes in one direction.

One mode, force in proportion to the chip: the least stable width over all speeds is
b = 2 k zeta (1 + zeta)/Kf, at the frequency f sqrt(1 + 2 zeta). At any speed the limit
is the lowest of the lobes b = -1/(2 Kf Re G), with fc/Omega = N + eps/2 pi and
eps = 3 pi + 2 psi, psi the phase of G (Tlusty; Altintas, Manufacturing Automation;
Schmitz & Smith, Machining Dynamics). Force at an angle beta from the normal, modes at
alpha: G = sum of cos(alpha) cos(beta - alpha) G_i (the same).

Inputs of the modes at 250 and 150 Hz: a course's exercise, which prints its answer as a
plot only; 7.3188 mm and 252.98 Hz were recomputed apart from this code, as were the
lobes' lowest speeds and the vectors of a small lathe's size.

Tolerance on the frequencies that the program searches: 0.5 %. A limit is closed in on
to 0.05 %; frequencies stand a third of a peak's half width apart where limits are
least, and what is lost between them goes with the square of that. With two modes the
tops of the lobes lie between the peaks, where frequencies are 3 % apart and the
receptance passes through 0: 1 % up to four times the least limit, 10 % above that,
where nobody cuts; 19 of 20 speeds must still meet 0.5 %.
"""

import numpy as np
import pytest

from fea.core.modal_model import ComplexArray, ModalModel, receptance
from fea.machining.cut import Cut
from fea.machining.edge_stiffness import Slopes, cutting_matrix, turning_edge
from fea.machining.stability import (
    EdgeGrid,
    Limits,
    limits_at,
    search_frequencies,
    smallest_limit,
)
from geometry.pad import FloatArray

SEARCHED, NEAR_TOP, TOP, MOST = 5e-3, 1e-2, 0.1, 0.95
# In parts of a mode's: a thousandth of a peak's half width apart, so 1e-6 of its least.
FINE = np.linspace(0.9, 1.2, 30_001)
DIAMETER = 50.0
ONE_MODE = pytest.mark.parametrize(
    ("stiffness", "damping", "frequency", "cutting", "limit", "found_at"),
    [
        (3.0133e5, 0.012, 250.0, 1000.0, 7.3188, 252.98),
        (2.0e4, 0.03, 200.0, 684.0, 1.8070, 205.91),
        (1.0e4, 0.04, 300.0, 600.0, 1.3867, 311.77),
        (5.0e4, 0.03, 500.0, 2000.0, 1.5450, 514.78),
        (2.0e4, 0.05, 500.0, 2000.0, 1.0500, 524.40),
    ],
)


def modes(*each: tuple[float, float, float, float]) -> ModalModel:
    """Modes of frequency, damping ratio, stiffness and angle from y toward -z [deg]."""
    hertz, ratio, stiffness, angle = np.array(each).T
    lean = np.radians(angle)
    way = np.stack([np.zeros_like(lean), np.cos(lean), -np.sin(lean)], axis=-1)
    return ModalModel(
        frequency_hz=hertz,
        damping_ratio=ratio,
        shapes=way * (2.0 * np.pi * hertz / np.sqrt(stiffness))[:, None],
        residual=np.zeros((3, 3)),
    )


EXERCISE = modes((150.0, 0.010, 2.13e5, -45.0), (250.0, 0.012, 2.26e5, 30.0))
EXERCISE_CUTTING = 1000.0


def sharp_edge(
    cutting: float, force_deg: float = 0.0, entering_deg: float = 90.0
) -> EdgeGrid:
    """Straight edge whose force stands at an angle from its normal."""
    # Deeper than any lathe cuts: along a straight edge all is in proportion, and the
    # tops of the first lobes are compared, too.
    depths = np.geomspace(0.05, 1000.0, 8)
    cut = Cut(
        feed_mm=0.1, entering_angle_deg=entering_deg, nose_radius_mm=0.0, rake_deg=0.0
    )
    lean, every = np.radians(force_deg), np.ones((len(depths), 1))
    slopes = Slopes(
        tangential=cutting * np.sin(lean) * every, thrust=cutting * np.cos(lean) * every
    )
    edge = cutting_matrix(turning_edge(cut, depths), slopes)
    return EdgeGrid(depth_mm=depths, cutting=edge, damping=np.zeros_like(edge))


def searched(model: ModalModel, edge: EdgeGrid, speed_rpm: FloatArray) -> Limits:
    frequency = search_frequencies(model)
    return limits_at(frequency, receptance(model, frequency), edge, speed_rpm, DIAMETER)


def assert_lobes(found: FloatArray, expected: FloatArray) -> None:
    miss = np.abs(found / expected - 1.0)
    assert np.quantile(miss, MOST) < SEARCHED
    assert miss[expected < 4.0 * expected.min()].max() < NEAR_TOP
    assert miss.max() < TOP


def least(model: ModalModel, edge: EdgeGrid, frequency: FloatArray) -> Limits:
    return smallest_limit(frequency, receptance(model, frequency), edge)


def oriented(
    model: ModalModel, frequency: FloatArray, force_deg: float
) -> ComplexArray:
    """Receptance along the normal y of a force at an angle from it toward -z."""
    alpha = np.arctan2(-model.shapes[:, 2], model.shapes[:, 1])
    share = np.cos(alpha) * np.cos(np.radians(force_deg) - alpha)
    r = frequency[:, None] / model.frequency_hz
    natural = 2.0 * np.pi * model.frequency_hz
    stiffness = natural**2 / (model.shapes**2).sum(axis=1)
    each = 1.0 / (stiffness * (1.0 - r**2 + 2j * model.damping_ratio * r))
    return np.asarray(each @ share)


def lowest_lobe(
    frequency: FloatArray, along: ComplexArray, cutting: float, speed_rpm: float
) -> float:
    """Limit at one speed: the least width where the phase fits a number of waves."""
    # Phases from 90 to 270 deg, so that eps runs on without a jump.
    phase = np.angle(along) % (2.0 * np.pi)
    waves = frequency * 60.0 / speed_rpm - (3.0 * np.pi + 2.0 * phase) / (2.0 * np.pi)
    able = along.real < 0.0
    whole = np.maximum(np.floor(waves[1:]), np.floor(waves[:-1]))
    fits = (np.diff(np.floor(waves)) != 0.0) & able[:-1] & able[1:]
    share = ((whole - waves[:-1]) / np.diff(waves))[fits]
    real = along.real[:-1][fits] + share * np.diff(along.real)[fits]
    return float((-0.5 / (cutting * real)).min())


@ONE_MODE
def test_one_modes_least_limit_is_the_closed_form(
    stiffness: float,
    damping: float,
    frequency: float,
    cutting: float,
    limit: float,
    found_at: float,
) -> None:
    model, edge = modes((frequency, damping, stiffness, 0.0)), sharp_edge(cutting)
    expected = 2.0 * stiffness * damping * (1.0 + damping) / cutting
    # Five digits are given.
    assert expected == pytest.approx(limit, rel=5e-5)
    fine = least(model, edge, FINE * frequency)
    assert fine.depth_mm[0] == pytest.approx(expected, rel=1e-6)
    # About its minimum the limit is flat: frequencies a step apart tell it alike.
    assert fine.frequency_hz[0] == pytest.approx(found_at, rel=5e-5)
    coarse = least(model, edge, search_frequencies(model))
    assert coarse.depth_mm[0] == pytest.approx(expected, rel=SEARCHED)
    # Half of a half width of the peak, to the nearest frequency that is searched.
    assert coarse.frequency_hz[0] == pytest.approx(found_at, rel=0.5 * damping)


@ONE_MODE
def test_one_modes_limit_at_any_speed_is_that_of_the_lowest_lobe(
    stiffness: float,
    damping: float,
    frequency: float,
    cutting: float,
    limit: float,
    found_at: float,
) -> None:
    model = modes((frequency, damping, stiffness, 0.0))
    fine = np.linspace(frequency, 6.0 * frequency, 200_001)
    along = oriented(model, fine, 0.0)
    # From half a wave to 30 waves of the mode in a revolution.
    speeds = 60.0 * frequency / np.geomspace(0.5, 30.0, 80)
    expected = np.array([lowest_lobe(fine, along, cutting, rpm) for rpm in speeds])
    found = searched(model, sharp_edge(cutting), speeds)
    assert found.depth_mm == pytest.approx(expected, rel=SEARCHED)
    assert found.depth_mm.max() > 3.0 * limit
    assert (found.frequency_hz > frequency).all()
    nearest = found.frequency_hz[found.depth_mm.argmin()]
    assert nearest == pytest.approx(found_at, rel=damping)


def test_lobes_are_lowest_at_the_exercises_speeds_and_higher_between() -> None:
    model, edge = modes((250.0, 0.012, 2.26e5, 30.0)), sharp_edge(EXERCISE_CUTTING)
    worst = np.array([20187.8, 8664.3, 5515.8, 4045.7, 3194.3])
    limit, found_at = 7.3188, 252.98
    r = np.sqrt(1.0 + 2.0 * 0.012)
    phase = np.angle(1.0 / (1.0 - r**2 + 2j * 0.012 * r))
    part = (3.0 * np.pi + 2.0 * phase) % (2.0 * np.pi) / (2.0 * np.pi)
    bottoms = 60.0 * 250.0 * r / (np.arange(5) + part)
    # One decimal is given.
    assert bottoms == pytest.approx(worst, abs=0.06)
    at_bottom = searched(model, edge, worst)
    assert at_bottom.depth_mm == pytest.approx(np.full(5, limit), rel=SEARCHED)
    # A twelfth of the peak's half width.
    assert at_bottom.frequency_hz == pytest.approx(np.full(5, found_at), rel=1e-3)
    beside = searched(model, edge, np.append(0.97 * worst, 1.03 * worst))
    assert (beside.depth_mm > 1.005 * limit).all()
    # A fifth of the way to the next lobe the limit is well up already.
    between = worst[1:] ** 0.8 * worst[:-1] ** 0.2
    assert (searched(model, edge, between).depth_mm > 1.2 * limit).all()
    # Turning the mode out of the normal is worth 1/cos².
    straight = modes((250.0, 0.012, 2.26e5, 0.0))
    found = least(straight, edge, search_frequencies(straight)).depth_mm[0]
    assert found == pytest.approx(5.489, rel=SEARCHED)


@pytest.mark.parametrize("force_deg", [0.0, 30.0, 70.0, -60.0])
def test_two_modes_have_the_oriented_receptances_least_limit(force_deg: float) -> None:
    edge = sharp_edge(EXERCISE_CUTTING, force_deg)
    fine = np.linspace(100.0, 400.0, 240_001)
    along = oriented(EXERCISE, fine, force_deg)
    expected = -0.5 / (EXERCISE_CUTTING * along.real.min())
    assert least(EXERCISE, edge, fine).depth_mm[0] == pytest.approx(expected, rel=1e-6)
    found = least(EXERCISE, edge, search_frequencies(EXERCISE)).depth_mm[0]
    assert found == pytest.approx(expected, rel=SEARCHED)


@pytest.mark.parametrize("force_deg", [0.0, 30.0, 70.0, -60.0])
def test_two_modes_have_the_oriented_receptances_lobes(force_deg: float) -> None:
    fine = np.linspace(75.0, 1500.0, 200_001)
    along = oriented(EXERCISE, fine, force_deg)
    speeds = 60.0 * 150.0 / np.geomspace(0.5, 30.0, 80)
    expected = np.array(
        [lowest_lobe(fine, along, EXERCISE_CUTTING, rpm) for rpm in speeds]
    )
    found = searched(EXERCISE, sharp_edge(EXERCISE_CUTTING, force_deg), speeds)
    assert_lobes(found.depth_mm, expected)


def test_a_mode_that_the_force_drives_against_the_chip_chatters_below_its_pitch() -> (
    None
):
    # Force at 70 deg, mode at -30 deg: cos(-30) cos(100) = -0.1504. Such a mode's
    # least limit is 2 k zeta (1 - zeta)/(0.1504 Kf), at f sqrt(1 - 2 zeta).
    damping, stiffness = 0.03, 2.0e4
    model = modes((200.0, damping, stiffness, -30.0))
    edge = sharp_edge(EXERCISE_CUTTING, 70.0)
    expected = 2.0 * stiffness * damping * (1.0 - damping) / (0.1504 * EXERCISE_CUTTING)
    fine = least(model, edge, FINE * 200.0)
    # Four digits are given.
    assert fine.depth_mm[0] == pytest.approx(expected, rel=5e-4)
    assert fine.frequency_hz[0] == pytest.approx(200.0 * np.sqrt(0.94), rel=1e-4)
    coarse = least(model, edge, search_frequencies(model))
    assert coarse.depth_mm[0] == pytest.approx(fine.depth_mm[0], rel=SEARCHED)


@pytest.mark.parametrize("entering_deg", [30.0, 45.0, 60.0, 75.0])
def test_an_inclined_edge_is_longer_and_feels_a_mode_by_its_direction(
    entering_deg: float,
) -> None:
    sine = np.sin(np.radians(entering_deg))
    upright, inclined = (
        sharp_edge(EXERCISE_CUTTING, entering_deg=angle)
        for angle in (90.0, entering_deg)
    )
    one = modes((200.0, 0.03, 2.0e4, 0.0))
    # Equally soft along x and y: the width's limit stays, and depth = width sin.
    even = ModalModel(
        frequency_hz=np.array([200.0, 200.0]),
        damping_ratio=np.array([0.03, 0.03]),
        shapes=np.vstack([one.shapes, one.shapes[:, [1, 0, 2]]]),
        residual=np.zeros((3, 3)),
    )
    for model, expected in ((even, sine), (one, 1.0 / sine)):
        # Along y alone a width's limit grows as 1/sin²: the depth's as sin/sin².
        frequency = search_frequencies(model)
        found, straight = (
            least(model, edge, frequency).depth_mm[0] for edge in (inclined, upright)
        )
        # The same frequencies, so that only rounding is left.
        assert found / straight == pytest.approx(expected, rel=1e-9)
