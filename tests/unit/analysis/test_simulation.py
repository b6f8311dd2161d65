"""Which cuts are followed through time, and what is told of them."""

import dataclasses
from math import inf

import numpy as np
import pytest
from simulated_cut import ROUND, STEEL, TWO_MODES, one_mode, turning, worst_speed

from fea.analysis.chatter_result import SpeedLimits, StackChatter
from fea.analysis.regeneration import Regeneration, cut_limits
from fea.analysis.simulated_cut import ABOVE, CutToFollow, follow_cut
from fea.analysis.simulation import slow_modes, telling_speeds
from fea.case.work_section import TURNING
from fea.core.modal_model import ModalModel, joined
from fea.machining.edge_stiffness import force_slopes, turning_edge

DAMPING, FREQUENCY, LIMIT = 0.03, 200.0, 1.8070
"""One mode of 2e4 N/mm and a force of 684 MPa: b = 2 k zeta (1 + zeta)/Kf."""


def to_follow(chart_mm: float = LIMIT, stiffness: float = 2.0e4) -> CutToFollow:
    model = one_mode(stiffness, DAMPING, FREQUENCY)
    rpm = worst_speed(DAMPING, FREQUENCY, waves=2)
    return CutToFollow(
        turning=turning(model, 684.0, rpm),
        kind=TURNING,
        speed_rpm=rpm,
        chart_mm=chart_mm,
        chart_hz=FREQUENCY * np.sqrt(1.0 + 2.0 * DAMPING),
        deepest_mm=4.0,
        traced=True,
    )


def test_limit_pitch_and_swing_of_a_cut_that_chatters() -> None:
    found = follow_cut(to_follow())
    speed, above = found.speed, found.speed.above
    assert speed.limit_mm == pytest.approx(LIMIT, rel=0.01)
    assert above is not None
    assert above.depth_mm == pytest.approx(ABOVE * speed.limit_mm)
    # Well above the limit it is a little higher than at it.
    assert above.frequency_hz == pytest.approx(speed.chart_hz, rel=0.03)
    # It leaves the cut, so it swings further than the chip is thick: 100 um.
    assert 0.0 < above.away < 0.6
    assert 100.0 < above.swing_um < 500.0
    # A sharp edge across the feed that moves along it leaves no waves on the diameter.
    assert above.waves_um == pytest.approx(0.0, abs=1e-9)


def test_the_traces_show_a_swing_that_dies_and_one_that_stays() -> None:
    found = follow_cut(to_follow())
    traces, above = found.traces, found.speed.above
    assert traces is not None
    assert above is not None
    last = int(0.1 / traces.step_s)
    assert np.ptp(traces.below_um[-last:]) < 0.01 * above.swing_um
    assert np.ptp(traces.above_um[-last:]) == pytest.approx(above.swing_um, rel=0.05)
    # Far above zero the calm cut is where the dying swing ends.
    assert abs(traces.below_um[-last:].mean()) < 0.01 * above.swing_um


def test_a_limit_far_from_the_charts_is_still_found() -> None:
    found = follow_cut(to_follow(chart_mm=0.6 * LIMIT))
    assert found.speed.limit_mm == pytest.approx(LIMIT, rel=0.01)


def test_where_nothing_chatters_nothing_is_shown() -> None:
    found = follow_cut(to_follow(chart_mm=inf, stiffness=2.0e5))
    assert found.speed.limit_mm == inf
    assert found.speed.above is None
    assert found.traces is None


def test_a_chart_that_overlooks_a_limit_is_found_out() -> None:
    assert follow_cut(to_follow(chart_mm=inf)).speed.limit_mm == pytest.approx(
        LIMIT, rel=0.01
    )


def test_a_cut_too_slow_or_too_stiff_to_follow_has_no_numbers() -> None:
    task = to_follow()
    assert task.turning is not None
    slow = follow_cut(dataclasses.replace(task, turning=None))
    assert np.isnan(slow.speed.limit_mm)
    loose = dataclasses.replace(task.turning.model, residual=np.eye(3) * 1e-3)
    stiff = dataclasses.replace(task.turning, model=loose)
    found = follow_cut(dataclasses.replace(task, turning=stiff))
    assert np.isnan(found.speed.limit_mm)
    assert found.speed.above is None


def stack_at(own: float, lathe: dict[float, float]) -> StackChatter:
    def limits(speeds: list[float], depths: list[float]) -> SpeedLimits:
        return SpeedLimits(
            speed_rpm=np.array(speeds),
            limit_mm=np.array(depths),
            frequency_hz=np.full(len(speeds), 300.0),
            band_mm=np.zeros((2, len(speeds))),
        )

    stack = object.__new__(StackChatter)
    object.__setattr__(stack, "chosen", limits([own], [1.0]))
    object.__setattr__(stack, "lathe", limits(list(lathe), list(lathe.values())))
    return stack


def test_the_cases_speed_and_the_best_faster_one_are_followed() -> None:
    lathe = {70.0: 9.0, 450.0: 2.0, 710.0: 1.5, 1150.0: 3.0, 1800.0: 2.5}
    assert telling_speeds(stack_at(450.0, lathe)) == (450.0, 1150.0)
    assert telling_speeds(stack_at(1800.0, lathe)) == (1800.0,)


def test_modes_are_left_out_only_as_long_as_the_limits_stay() -> None:
    fast = ModalModel(
        frequency_hz=np.array([4000.0]),
        damping_ratio=np.array([0.02]),
        shapes=np.array([[10.0, 20.0, 5.0]]),
        residual=np.zeros((3, 3)),
    )
    model = joined(TWO_MODES, fast)
    edge = turning_edge(ROUND, np.geomspace(0.1, 8.0, 12))
    cut = Regeneration(
        edge=edge,
        slopes=force_slopes(STEEL, ROUND, edge),
        rubbing=0.0,
        friction=0.0,
        diameter_mm=50.0,
    )
    speeds = np.array([900.0, 2600.0])
    kept = slow_modes(model, cut, speeds)
    assert kept.frequency_hz.tolist() == [180.0, 260.0]
    limits = [
        cut_limits(each, cut, speeds).at_speeds.depth_mm for each in (kept, model)
    ]
    assert limits[0] == pytest.approx(limits[1], rel=0.01)
