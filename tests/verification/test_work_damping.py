"""Damping of the held bar by energy, against the response with complex stiffness.

Source: the direct solution (sum of each stiffness times (1 + i loss factor), less
omega² times mass)^-1, which knows no modes. Modal strain energy (Ungar & Kerwin, 1962)
is its first order in the loss factor, and at resonance both lose the same.
"""

from dataclasses import replace

import numpy as np
import pytest
from block_mesh import material
from held_work import HOLDING

from fea.core.modal_model import receptance
from fea.machining.beam import RoundSection, bending_matrices
from fea.machining.work_bar import (
    CHUCK_DENSITY_T_MM3,
    ELEMENTS,
    WorkBar,
    WorkHolding,
    work_model,
)

STEEL = replace(material(205_000.0, 0.3, 7850.0), loss_factor=0.01)
BAR = WorkBar(
    diameter=25.0,
    bore=0.0,
    stick_out=200.0,
    cut_at=200.0,
    material=STEEL,
)


def direct(holding: WorkHolding, frequency_hz: np.ndarray) -> np.ndarray:
    """Up and down motion of the free end for each newton there. (n_freq,) [mm/N]."""
    section = RoundSection(diameter=25.0, bore=0.0, material=STEEL)
    stiffness, mass = bending_matrices(section, np.full(ELEMENTS, 200.0 / ELEMENTS))
    springs = np.zeros(len(stiffness))
    springs[:2] = holding.radial, holding.tilting
    springs[-2] = holding.centre or 0.0
    radius, weight = holding.chuck_diameter / 2.0, holding.chuck_mass
    thick = weight / (CHUCK_DENSITY_T_MM3 * np.pi * radius**2)
    # A disc about a diameter of its middle, carried to its face (Steiner).
    turning = weight * (3.0 * radius**2 + thick**2) / 12.0 + weight * thick**2 / 4.0
    coupled = -weight * thick / 2.0
    mass[:2, :2] += np.array([[weight, coupled], [coupled, turning]])
    # A uniform rod about its end: m L² / 3, felt at the other end as m / 3.
    mass[0, 0] += holding.spindle_mass / 3.0
    whole = (1.0 + 1j * BAR.material.loss_factor) * stiffness
    whole = whole + (1.0 + 1j * holding.loss_factor) * np.diag(springs)
    push = np.zeros(len(mass))
    push[-2] = 1.0
    omega = 2.0 * np.pi * frequency_hz
    return np.array(
        [np.linalg.solve(whole - w**2 * mass, push)[-2] for w in omega], dtype=complex
    )


@pytest.mark.parametrize("centre", [None, 45e3])
def test_peaks_are_as_high_as_with_complex_stiffness(centre: float | None) -> None:
    holding = replace(HOLDING, centre=centre)
    model = work_model(BAR, holding)
    bending = np.flatnonzero(model.shapes[:, 2] != 0.0)[:3]
    # With the centre the lowest mode hardly moves the end; its peak stands on others.
    for number in bending if centre is None else bending[1:]:
        peak = np.array([model.frequency_hz[number]])
        found = receptance(model, peak)[0, 2, 2]
        # First order in a loss factor of 0.06, and the tails of the neighbours.
        assert abs(found) == pytest.approx(abs(direct(holding, peak)[0]), rel=0.03)


def test_the_response_up_to_3_khz_is_that_of_all_modes() -> None:
    frequency = np.linspace(1.0, 3000.0, 400)
    found = receptance(work_model(BAR, HOLDING), frequency)[:, 2, 2]
    exact = direct(HOLDING, frequency)
    off = np.abs(found - exact)
    # Damping joins modes that lie close, which energy leaves out: 7 % of the peak,
    # measured, where two lie 27 % apart and lose 4.5 % each.
    assert (off < 0.1 * np.abs(exact).max()).all()
    # Elsewhere viscous damping parts from that of a loss factor, by that at most.
    assert np.median(off / np.abs(exact)) < 0.03


def test_only_what_gives_damps() -> None:
    quiet = replace(BAR, material=replace(STEEL, loss_factor=0.0))
    stiff = replace(HOLDING, radial=1e12, tilting=1e15, axial=1e12)
    ratio = work_model(quiet, stiff).damping_ratio
    # Springs seven orders stiffer than the bar hold that share of the energy.
    assert ratio == pytest.approx(0.0, abs=1e-6)


def test_equal_loss_everywhere_gives_half_of_it_in_every_mode() -> None:
    even = work_model(replace(BAR, material=replace(STEEL, loss_factor=0.06)), HOLDING)
    assert even.damping_ratio == pytest.approx(0.03, rel=1e-6)


def test_motion_and_force_may_change_places() -> None:
    found = receptance(work_model(BAR, HOLDING), np.array([50.0, 400.0, 1500.0]))
    # Symmetric but for rounding; x and y are joined because the cut is off the axis.
    scale = np.abs(found).max() * 1e-12
    assert found == pytest.approx(np.swapaxes(found, 1, 2), abs=scale)
    assert (np.abs(found[:, 0, 1]) > 1e3 * scale).all()
