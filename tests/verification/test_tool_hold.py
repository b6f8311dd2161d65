"""What holds the tool in its slot: friction under it and on it, and the slot's wall.

Source: statics and Coulomb's law. A push along the shank is held by friction times all
that presses on it, floor and screws alike; a face that leans can push and never pull.
"""

import re
from dataclasses import replace

import numpy as np
import pytest

from fea.core.contact_model import ContactModel, ContactState
from fea.core.contact_stack import contact_model
from fea.core.equilibrium import (
    SHORTEST_LOAD_STEP,
    clamp,
    joint_tractions,
    load,
    tip_motion,
)
from fea.core.joint import PadRef
from fea.core.stack import Stack
from geometry.errors import SolveError

# So low that the tool slides before the post turns on its base.
FRICTION = 0.03
SCREWS = tuple(f"set screw {number}" for number in (1, 2, 3))
SIDE = 150.0  # N; with so little friction 200 N turn the tool


@pytest.fixture(scope="module")
def model(coarse_quick_change: Stack) -> ContactModel:
    return oily(coarse_quick_change)


def oily(stack: Stack) -> ContactModel:
    """Joints of a stack whose tool is held by little friction."""
    model = contact_model(stack)
    held_by = ("tool floor", *SCREWS)
    contacts = tuple(
        replace(joint, law=replace(joint.law, friction=FRICTION))
        if joint.name in held_by
        else joint
        for joint in model.contacts
    )
    return replace(model, contacts=contacts)


def forces(model: ContactModel, state: ContactState) -> dict[str, float]:
    """Normal force of every joint. [N]."""
    found = joint_tractions(model, state)
    return {
        joint.name: float(joint.weights @ found[joint.name].pressure)
        for joint in model.contacts
    }


def test_a_push_along_the_shank_is_held_by_floor_and_screws_together(
    coarse_quick_change: Stack,
) -> None:
    stack = coarse_quick_change
    # Under the middle screw, so that the push does not turn the tool.
    middle = PadRef(part="tool bit", pad="screw 2")
    model = oily(Stack(stack.parts, stack.joints, stack.links, middle))
    start = clamp(model)
    most = 1000.0
    with pytest.raises(SolveError, match=r"(set screw|tool floor).* slides") as lost:
        load(model, start, np.array([most, 0.0, 0.0]))
    reached = float(re.findall(r"force of (\d+) N", str(lost.value))[0])
    pressed = forces(model, start)
    screws = sum(pressed[name] for name in SCREWS)
    # What the screws push down the floor carries; nothing else presses on the tool.
    assert pressed["tool floor"] == pytest.approx(screws, rel=1e-3)
    # To the load step at which the search gives up; tilting moves forces by less.
    resolution = 2.0 * SHORTEST_LOAD_STEP * most
    assert reached == pytest.approx(2.0 * FRICTION * screws, abs=resolution)


def test_the_feed_presses_the_shank_on_the_wall_and_the_other_way_it_is_free(
    model: ContactModel,
) -> None:
    start = clamp(model)
    free = replace(
        model, contacts=tuple(joint for joint in model.contacts if not joint.leans)
    )
    moved = {}
    for side in (SIDE, -SIDE):
        force = np.array([0.0, side, 0.0])
        state = load(model, start, force)
        walled = (tip_motion(model, state) - tip_motion(model, start))[1]
        alone = load(free, clamp(free), force)
        without = (tip_motion(free, alone) - tip_motion(free, clamp(free)))[1]
        moved[side] = walled / without
        pressed = forces(model, state)["tool wall"]
        before = forces(model, start)["tool wall"]
        assert (pressed > before + 1.0) == (side > 0.0)
    assert moved[SIDE] < 0.999
    # Half of that turns the tool on its screws; with the wall it is held.
    load(model, start, np.array([0.0, 4.0 * SIDE, 0.0]))
    with pytest.raises(SolveError, match=r"set screw . is lost: it slides"):
        load(free, clamp(free), np.array([0.0, 2.0 * SIDE, 0.0]))
    # Clamping leaves about a newton on the wall, which is all that can be lost.
    assert moved[-SIDE] == pytest.approx(1.0, abs=5e-3)
