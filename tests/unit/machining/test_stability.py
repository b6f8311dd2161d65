import dataclasses

import numpy as np
import pytest

from fea.core.modal_model import ModalModel, receptance
from fea.machining.stability import (
    EdgeGrid,
    Limits,
    limits_at,
    search_frequencies,
    smallest_limit,
)

MODEL = ModalModel(
    frequency_hz=np.array([180.0, 260.0, 700.0]),
    damping_ratio=np.array([0.03, 0.04, 0.02]),
    shapes=np.array([[6.0, 4.0, -3.0], [-3.0, 7.0, 5.0], [9.0, -4.0, 8.0]]),
    residual=np.diag([4.0, 3.0, 2.0]) * 1e-6,
)
DIAMETER_MM = 40.0
SPEEDS = np.geomspace(100.0, 6000.0, 25)
FASTEST = np.array([1e7])
CUTTING = np.array([[300.0, 500.0, 0.0], [500.0, 1100.0, 0.0], [-900.0, -2000.0, 0.0]])
DAMPING = 20.0 * np.diag([0.3, 0.9, 0.0])


def grid(depth: np.ndarray, rubs: float = 1.0) -> EdgeGrid:
    """A straight edge's: all in proportion to the depth."""
    return EdgeGrid(
        depth_mm=depth,
        cutting=depth[:, None, None] * CUTTING,
        damping=rubs * depth[:, None, None] * DAMPING,
    )


DEPTHS = np.geomspace(0.1, 40.0, 8)


def limits(edge: EdgeGrid, speed: np.ndarray = SPEEDS, gain: float = 1.0) -> Limits:
    frequency = search_frequencies(MODEL)
    return limits_at(
        frequency, gain * receptance(MODEL, frequency), edge, speed, DIAMETER_MM
    )


def smallest(edge: EdgeGrid, gain: float = 1.0) -> Limits:
    frequency = search_frequencies(MODEL)
    return smallest_limit(frequency, gain * receptance(MODEL, frequency), edge)


def test_frequencies_rise_and_are_dense_about_every_mode() -> None:
    found = search_frequencies(MODEL)
    assert (np.diff(found) > 0.0).all()
    for mode, damping in zip(MODEL.frequency_hz, MODEL.damping_ratio, strict=True):
        near = found[np.abs(found - mode) < 2.0 * damping * mode]
        assert len(near) > 6
        assert np.diff(near).max() < 0.7 * damping * mode


def test_no_speed_has_a_limit_below_the_smallest() -> None:
    edge = grid(DEPTHS, rubs=0.0)
    # Both searches stop within 0.1 % of their limit.
    assert limits(edge).depth_mm.min() > smallest(edge).depth_mm[0] * (1.0 - 2e-3)


def test_rubbing_lets_slow_work_be_cut_deeper_and_does_nothing_to_fast_work() -> None:
    # Ten times the usual constant: what has been published for steel.
    with_, without = limits(grid(DEPTHS, rubs=10.0)), limits(grid(DEPTHS, rubs=0.0))
    slow = SPEEDS < 300.0
    assert (with_.depth_mm[slow] > 1.1 * without.depth_mm[slow]).all()
    fast = [
        limits(grid(DEPTHS, rubs), FASTEST / 1e3).depth_mm[0] for rubs in (1e-3, 0.0)
    ]
    assert fast[0] == pytest.approx(fast[1], rel=4e-3)


@pytest.mark.parametrize("depths", [[0.01, 60.0], [3.0, 5.0, 30.0], [20.0, 25.0]])
def test_limits_are_the_same_on_any_grid_of_depths(depths: list[float]) -> None:
    # A straight edge runs straight between any two depths, so what is left is the
    # tolerance of the search, twice.
    usual, other = limits(grid(DEPTHS)), limits(grid(np.array(depths)))
    assert other.depth_mm == pytest.approx(usual.depth_mm, rel=5e-3)
    assert other.frequency_hz == pytest.approx(usual.frequency_hz, rel=5e-3)


def test_speeds_do_not_know_of_each_other() -> None:
    together = limits(grid(DEPTHS))
    for number, speed in enumerate(SPEEDS):
        alone = limits(grid(DEPTHS), np.array([speed]))
        # Sums in another order.
        assert alone.depth_mm[0] == pytest.approx(together.depth_mm[number], rel=1e-9)
        assert alone.frequency_hz[0] == pytest.approx(
            together.frequency_hz[number], rel=1e-9
        )


def test_a_structure_twice_as_stiff_takes_twice_the_depth() -> None:
    edge = grid(DEPTHS, rubs=0.0)
    plain, stiff = limits(edge), limits(edge, gain=0.5)
    assert stiff.depth_mm == pytest.approx(2.0 * plain.depth_mm, rel=5e-3)


def test_what_is_stable_to_the_deepest_depth_has_no_limit() -> None:
    edge = grid(DEPTHS * 1e-3)
    for found in (limits(edge), smallest(edge)):
        assert np.isinf(found.depth_mm).all()
        assert np.isnan(found.frequency_hz).all()


def test_the_vibration_is_a_little_faster_than_the_mode_it_feeds_on() -> None:
    single = dataclasses.replace(
        MODEL,
        frequency_hz=MODEL.frequency_hz[:1],
        damping_ratio=MODEL.damping_ratio[:1],
        shapes=np.array([[0.0, 6.0, 0.0]]),
        residual=np.zeros((3, 3)),
    )
    frequency = search_frequencies(single)
    found = limits_at(
        frequency,
        receptance(single, frequency),
        grid(DEPTHS, rubs=0.0),
        SPEEDS,
        DIAMETER_MM,
    )
    chatters = np.isfinite(found.depth_mm)
    assert chatters.any()
    assert (found.frequency_hz[chatters] > 180.0).all()
