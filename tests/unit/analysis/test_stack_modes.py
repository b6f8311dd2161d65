"""Modes of the coarse demo about a cut, and what is said about each of them."""

from math import pi, sqrt

import numpy as np
import pytest

from fea.analysis.stack_answer import StackAnswer
from fea.analysis.stack_modes import MODES, StackModes, working_modes
from fea.core.damping import loss_factors
from fea.core.equilibrium import tangent_compliance
from fea.core.modal_model import receptance


@pytest.fixture(scope="module")
def found(answer: StackAnswer) -> StackModes:
    return working_modes(answer.stack, answer.model, answer.path.steps[-1].state)


def test_modes_balance_the_tangent_stiffness_and_the_mass(
    answer: StackAnswer, found: StackModes
) -> None:
    state = answer.path.steps[-1].state
    tangents = {
        joint.name: (own + own.T) / 2.0
        for joint in answer.stack.joints
        for at in [answer.model.interface.slices[joint.name]]
        for own in [state.tangent[at, at]]
    }
    stiffness = answer.stack.stiffness_with(tangents)
    omega = 2.0 * pi * found.tip.frequency_hz
    restoring = stiffness @ found.shapes
    inertia = answer.stack.mass @ found.shapes
    # As close as Lanczos' method comes.
    error = np.abs(restoring - inertia * omega**2).max(axis=0)
    assert np.all(error < 1e-5 * np.abs(restoring).max(axis=0))
    unit = found.shapes.T @ inertia
    assert unit == pytest.approx(np.eye(MODES), abs=1e-8)


def test_a_mode_is_drawn_to_the_side_to_which_the_tip_moves_most(
    answer: StackAnswer, found: StackModes
) -> None:
    tip = (answer.stack.tip_rows @ found.shapes).T
    assert tip == pytest.approx(found.tip.shapes)
    for moved, mode in zip(tip, found.modes, strict=True):
        assert moved.max() == np.abs(moved).max()
        assert mode.tip.max() > 0.0


def test_shares_of_a_mode_are_the_whole_of_its_energy(
    answer: StackAnswer, found: StackModes
) -> None:
    stack = answer.stack
    members = len(stack.parts) + len(stack.joints) + len(stack.links)
    for mode in found.modes:
        assert len(mode.shares) == members
        assert all(share.fraction >= 0.0 for share in mode.shares)
        assert sum(share.fraction for share in mode.shares) == pytest.approx(1.0)


def test_a_modes_damping_is_that_of_its_members_by_their_shares(
    answer: StackAnswer, found: StackModes
) -> None:
    losses = loss_factors(answer.stack)
    for mode in found.modes:
        lost = sum(share.fraction * losses[share.name].value for share in mode.shares)
        assert mode.damping_ratio == pytest.approx(lost / 2.0)
    # The lowest one moves the whole stack on its ground.
    shares = {share.name: share.fraction for share in found.modes[0].shares}
    assert max(shares, key=shares.__getitem__) == "ground"


def test_mass_and_stiffness_at_the_tip_are_those_of_a_single_mass(
    found: StackModes,
) -> None:
    for mode, shape in zip(found.modes, found.tip.shapes, strict=True):
        assert np.linalg.norm(mode.tip) == pytest.approx(1.0)
        # N/um is 1e6 N/m, and (N/m)/kg is 1/s2.
        omega = sqrt(1e6 * mode.stiffness_n_per_um / mode.mass_kg)
        assert omega == pytest.approx(2.0 * pi * mode.frequency_hz)
        # A unit mass of one tonne, 1000 kg.
        assert mode.mass_kg == pytest.approx(1000.0 / (shape @ shape))


def test_under_a_force_at_rest_the_tip_gives_way_as_its_equilibrium_says(
    answer: StackAnswer, found: StackModes
) -> None:
    wanted = tangent_compliance(answer.model, answer.path.steps[-1].state)
    # The same matrices, condensed and not.
    error = np.abs(found.tip.static_compliance - wanted).max()
    assert error < 1e-8 * np.abs(wanted).max()
    slow = receptance(found.tip, np.array([0.0]))[0]
    assert slow == pytest.approx(found.tip.static_compliance)


def test_motion_along_one_axis_by_a_force_along_another_is_mutual(
    found: StackModes,
) -> None:
    moved = receptance(found.tip, np.linspace(10.0, 3000.0, 50))
    largest = np.abs(moved).max()
    assert np.abs(moved - moved.transpose(0, 2, 1)).max() < 1e-12 * largest
    # Not because there is nothing off the diagonal.
    assert np.abs(moved[:, 0, 2]).max() > 1e-2 * largest


def test_a_measured_ratio_of_the_lowest_mode_scales_all(
    answer: StackAnswer, found: StackModes
) -> None:
    state = answer.path.steps[-1].state
    measured = working_modes(answer.stack, answer.model, state, 0.05)
    assert measured.modes[0].damping_ratio == pytest.approx(0.05)
    factor = 0.05 / found.tip.damping_ratio[0]
    wanted = factor * found.tip.damping_ratio
    assert measured.tip.damping_ratio == pytest.approx(wanted)
    assert measured.tip.frequency_hz == pytest.approx(found.tip.frequency_hz)
