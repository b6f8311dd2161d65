import dataclasses

import numpy as np
import pytest

from fea.machining.cut import Cut
from fea.machining.edge_stiffness import plunging_edge, turning_edge
from fea.machining.vibration import (
    chip_direction,
    pitch_hz,
    plunged_surface,
    turned_surface,
)

CUT = Cut(feed_mm=0.1, entering_angle_deg=75.0, nose_radius_mm=0.0, rake_deg=0.0)
STEP = 1e-4


def test_a_straight_edges_chip_is_thick_along_its_normal() -> None:
    kappa = np.radians(75.0)
    straight = chip_direction(turning_edge(CUT, np.array([1.0, 2.0])))
    assert straight == pytest.approx(
        np.tile([np.cos(kappa), np.sin(kappa), 0.0], (2, 1))
    )
    assert chip_direction(plunging_edge(CUT, np.array([2.0]))) == pytest.approx(
        np.array([[1.0, 0.0, 0.0]])
    )


def test_on_a_nose_a_shallow_chip_is_thick_more_along_the_depth() -> None:
    cut = dataclasses.replace(CUT, nose_radius_mm=0.8)
    shallow, deep = chip_direction(turning_edge(cut, np.array([0.1, 3.0])))
    assert shallow[0] > deep[0]
    assert np.linalg.norm(shallow) == pytest.approx(1.0)


@pytest.mark.parametrize("hertz", [203.0, 287.4, 611.9])
def test_the_pitch_is_that_of_the_strongest_swing(hertz: float) -> None:
    time = STEP * np.arange(4000)
    swing = 3.0 + np.sin(2.0 * np.pi * hertz * time + 0.4)
    swing += 0.3 * np.sin(2.0 * np.pi * 2.1 * hertz * time)
    # Lines stand 2.5 Hz apart; the parabola through a Hann window's peak is off by at
    # most 0.02 of that.
    assert pitch_hz(swing, STEP) == pytest.approx(hertz, abs=0.05)


def test_what_does_not_move_has_no_pitch() -> None:
    assert np.isnan(pitch_hz(np.full(100, 2.0), STEP))


def test_neighbours_cut_down_what_one_revolution_leaves_too_high() -> None:
    feed, nose = 0.1, 0.4
    path = np.zeros((9, 5))
    path[4, 2] = 0.05  # out of the work for a moment, once
    left = turned_surface(path, feed, nose)
    # The neighbours' arcs stand f²/(2 r) higher over that track.
    assert left.max() == pytest.approx(feed**2 / (2.0 * nose))
    assert left.min() == 0.0
    # Into the work nothing helps.
    path[4, 2] = -0.05
    assert turned_surface(path, feed, nose).min() == -0.05


def test_a_sharp_corner_leaves_its_path() -> None:
    path = np.random.default_rng(1).normal(size=(4, 6))
    assert np.array_equal(turned_surface(path, 0.1, 0.0), path)


def test_a_plunging_tool_leaves_the_deepest_of_its_revolutions() -> None:
    path = np.array([[0.0, -0.25], [0.0, 0.0], [0.02, 0.0]])
    # Two feeds of 0.1 mm ago it stood 0.2 mm further out.
    assert plunged_surface(path, 0.1) == pytest.approx(np.array([[0.02, -0.05]]))
