"""Limits of two modes against the oriented receptance, searched by brute force.

A straight edge feels the motion along its normal and is pushed by one force, so the
structure is one number at each frequency, G = sum mu_i G_i with
mu = cos(beta - alpha) cos(alpha) for a mode at alpha and a force at beta from the
normal; b = -1 / (2 Ks Re G) and Omega = 60 fc / (N + eps/2pi) (Tlusty; Schmitz & Smith,
Machining Dynamics, ch. 3). Modes of a course's exercise on manufacturing automation:
250 Hz, 0.012, 2.26e8 N/m at +30 degrees; 150 Hz, 0.010, 2.13e8 N/m at -45; 1000 MPa.

Tolerance: the search stops within 0.1 % of the depth, and q = -1 / lambda is taken to
be straight between frequencies a third of a mode's half width apart: 0.5 %.
"""

import numpy as np
import pytest

from fea.core.modal_model import ModalModel, receptance
from fea.machining.stability import (
    EdgeGrid,
    limits_at,
    search_frequencies,
    smallest_limit,
)

SPECIFIC = 1000.0
FREQUENCY, DAMPING = np.array([150.0, 250.0]), np.array([0.010, 0.012])
STIFFNESS, TILT = np.array([2.13e5, 2.26e5]), np.radians([-45.0, 30.0])
DEPTHS = np.geomspace(0.5, 500.0, 14)
STOPS = 5e-3


def model() -> ModalModel:
    """Both modes in the plane of the normal y and the cutting speed z."""
    size = 2.0 * np.pi * FREQUENCY / np.sqrt(STIFFNESS)
    shapes = np.stack([0.0 * TILT, np.cos(TILT), np.sin(TILT)], axis=-1)
    return ModalModel(
        frequency_hz=FREQUENCY,
        damping_ratio=DAMPING,
        shapes=size[:, None] * shapes,
        residual=np.zeros((3, 3)),
    )


def edge(beta: float) -> EdgeGrid:
    pull = np.array([0.0, np.cos(beta), np.sin(beta)])
    matrix = SPECIFIC * np.outer(pull, [0.0, 1.0, 0.0])
    return EdgeGrid(
        depth_mm=DEPTHS,
        cutting=DEPTHS[:, None, None] * matrix,
        damping=np.zeros((len(DEPTHS), 3, 3)),
    )


def oriented(frequency: np.ndarray, beta: float) -> np.ndarray:
    r = frequency[:, None] / FREQUENCY
    each = 1.0 / (STIFFNESS * (1.0 - r**2 + 2j * DAMPING * r))
    return np.asarray(each @ (np.cos(beta - TILT) * np.cos(TILT)))


def brute_force(beta: float, speed_rpm: float) -> float:
    """Least width over all lobes, by walking along them in steps of a millihertz."""
    frequency = np.arange(60.0, 600.0, 1e-3)
    gain = oriented(frequency, beta)
    turns = frequency * 60.0 / speed_rpm - (1.5 + np.angle(gain) / np.pi)
    miss = turns - np.round(turns)
    # Half a turn away the rounded miss jumps, too.
    met = (miss[:-1] * miss[1:] <= 0.0) & (np.abs(miss[:-1] - miss[1:]) < 0.5)
    # Near a mode a millihertz still matters: straight to where the miss is nothing.
    share = miss[:-1][met] / (miss[:-1] - miss[1:])[met]
    real = gain.real[:-1][met] + share * np.diff(gain.real)[met]
    return float((-0.5 / (SPECIFIC * real[real < 0.0])).min(initial=np.inf))


def test_orientation_factors_are_the_textbooks() -> None:
    beta, alpha = np.radians(70.0), np.radians([0.0, 30.0, 60.0, -30.0, 90.0])
    factor = np.cos(beta - alpha) * np.cos(alpha)
    assert factor == pytest.approx([0.3420, 0.6634, 0.4924, -0.1504, 0.0], abs=5e-5)


@pytest.mark.parametrize("beta_deg", [0.0, 70.0, -60.0])
def test_the_smallest_limit_is_at_the_most_negative_oriented_receptance(
    beta_deg: float,
) -> None:
    beta, frequency = np.radians(beta_deg), search_frequencies(model())
    found = smallest_limit(frequency, receptance(model(), frequency), edge(beta))
    fine = np.arange(60.0, 600.0, 1e-3)
    real = oriented(fine, beta).real
    assert found.depth_mm[0] == pytest.approx(-0.5 / (SPECIFIC * real.min()), rel=STOPS)
    assert found.frequency_hz[0] == pytest.approx(fine[real.argmin()], rel=1e-3)


@pytest.mark.parametrize("beta_deg", [0.0, 70.0, -60.0])
def test_limits_at_speeds_are_those_of_the_lobes(beta_deg: float) -> None:
    beta, frequency = np.radians(beta_deg), search_frequencies(model())
    speeds = np.geomspace(700.0, 16000.0, 23)
    found = limits_at(
        frequency, receptance(model(), frequency), edge(beta), speeds, 50.0
    )
    expected = np.array([brute_force(beta, speed) for speed in speeds])
    expected[expected > DEPTHS[-1]] = np.inf
    assert found.depth_mm == pytest.approx(expected, rel=STOPS)
