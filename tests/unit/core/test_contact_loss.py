"""Which joint a message names when a stack has no equilibrium."""

from dataclasses import replace

import numpy as np
import pytest
from contact_blocks import Rod, Seat, rigid_block

from fea.core.contact_law import ContactLaw
from fea.core.contact_loss import loss
from fea.core.contact_model import ContactModel, ContactState
from fea.core.equilibrium import clamp
from geometry.pad import FloatArray

LAW = ContactLaw(closure=1e-3, exponent=0.5, tangential_ratio=0.5, friction=0.2)
ALONG, ACROSS = 0, 2


@pytest.fixture(scope="module")
def model() -> ContactModel:
    low = Seat(name="low", law=LAW, sizes=(40.0, 30.0), pressure=2.0)
    high = Seat(name="high", law=LAW, sizes=(40.0, 30.0), height=9.0, pressure=2.0)
    stud = Rod(name="stud", axis="z", preload=4000.0)
    return rigid_block([low, high], [stud], (0.0, 0.0, 0.0))


def heading(model: ContactModel, axis: int, **moves: float) -> FloatArray:
    """Change of the coefficients that shifts whole joints along an axis. (m,) [mm]."""
    step = np.zeros(model.interface.size)
    for name, move in moves.items():
        step[model.interface.slices[name].start + axis] = move
    return step


def run_off(model: ContactModel, step: FloatArray) -> ContactState:
    """A search that has gone far along the step from the clamped state."""
    state = clamp(model)
    return state.moved(coefficients=state.coefficients + 1e3 * step)


@pytest.mark.parametrize(("name", "other"), [("low", "high"), ("high", "low")])
def test_the_joint_whose_faces_move_most_is_named(
    model: ContactModel, name: str, other: str
) -> None:
    step = heading(model, ALONG, **{name: 1.0, other: 1e-3})
    said = loss(model, run_off(model, step), step)
    assert f"the joint {name} is lost: it slides" in said
    assert other not in said


def test_faces_that_only_lean_are_never_blamed(model: ContactModel) -> None:
    low, high = model.contacts
    leaning = replace(model, contacts=(low, replace(high, pressure=0.0)))
    step = heading(model, ALONG, low=1e-3, high=1.0)
    said = loss(leaning, run_off(model, step), step)
    assert "the joint low is lost" in said


def test_faces_that_part_are_said_to_lift(model: ContactModel) -> None:
    step = heading(model, ACROSS, high=1.0)
    assert "the joint high is lost: it lifts" in loss(model, run_off(model, step), step)


def test_a_joint_that_still_holds_is_not_said_to_be_lost(model: ContactModel) -> None:
    step = heading(model, ALONG, low=1e-9)
    said = loss(model, clamp(model), step)
    assert "lost" not in said
    assert "no equilibrium was found" in said
    assert "low" in said
