"""A rigid block that sticks and slips: Coulomb's limit and what a cycle costs.

Source: Coulomb's law, and the bilinear loop of a spring with a slipper beside another
spring (Jenkins's element; Masing's rule makes the way back the first one twice as
large). With K_t the joint's own stiffness, K_s the spring's and S = mu N: slope K_t +
K_s up to a slide of S / K_t, K_s beyond it, and a full cycle between -u and u costs
4 S (u - S / K_t). The block gives 1e-5 of what the joint does, which sets the
tolerances unless something else is said.
"""

import re
from itertools import pairwise

import numpy as np
import pytest
from contact_blocks import Rod, Seat, rigid_block

from fea.core.contact_law import ContactLaw
from fea.core.contact_model import ContactModel, ContactState
from fea.core.equilibrium import (
    SHORTEST_LOAD_STEP,
    clamp,
    joint_tractions,
    load,
    solve,
    tangent_compliance,
    tip_motion,
)
from geometry.errors import SolveError
from geometry.pad import FloatArray

SIZES = (50.0, 40.0)
AREA = SIZES[0] * SIZES[1]
PRELOAD = 5000.0
FRICTION = 0.2
LIMIT = FRICTION * PRELOAD
LAW = ContactLaw(closure=1e-3, exponent=1.0, tangential_ratio=0.5, friction=FRICTION)
STICKING = LAW.tangential_ratio / LAW.closure * AREA
SPRING = 0.25 * STICKING
FIRST_SLIDE = LIMIT / STICKING
ROUGHLY_RIGID = 5e-5


def block(spring: float | None, height: float = 0.0) -> ContactModel:
    """Block with a stud, a spring along x or none, a force at a height above the seat.

    At height 0 the force meets the spring in the seat: pure shear.
    """
    seat = Seat(name="seat", law=LAW, sizes=SIZES, order=7, pressure=PRELOAD / AREA)
    rods = [Rod(name="stud", axis="z", preload=PRELOAD)]
    if spring is not None:
        rods.append(Rod(name="spring", axis="x", stiffness=spring))
    return rigid_block([seat], rods, (0.0, 0.0, height))


def along_x(force: float) -> FloatArray:
    return np.array([force, 0.0, 0.0])


def force_at(slide: float) -> float:
    """Force on the way from rest to a slide."""
    return min(STICKING * slide, LIMIT) + SPRING * slide


def follow(
    model: ContactModel, forces: FloatArray
) -> tuple[list[ContactState], FloatArray]:
    """States and slides of the tip along a row of forces, from the clamped one."""
    states = [clamp(model)]
    for force in forces:
        states.append(load(model, states[-1], along_x(force)))
    return states, np.array([tip_motion(model, state)[0] for state in states])


def friction_work(model: ContactModel, states: list[ContactState]) -> list[float]:
    """Work of every load step against friction, added over the points. [N mm]."""
    weights = model.contacts[0].weights
    work = []
    for before, after in pairwise(states):
        a, b = before.points["seat"], after.points["seat"]
        held = np.where(a.stiffness > 0.0, a.stiffness, 1.0)[:, None]
        slipped = (b.slide - a.slide) - (b.shear - a.shear) / held
        slipped[a.stiffness == 0.0] = 0.0
        work.append(float(weights @ (b.shear * slipped).sum(axis=1)))
    return work


@pytest.mark.parametrize("angle", [0.0, 0.7, np.pi / 2.0, 4.0])
def test_pure_shear_slips_everywhere_at_once_at_coulombs_limit(angle: float) -> None:
    model = block(None)
    direction = np.array([np.cos(angle), np.sin(angle), 0.0])
    held = solve(model, clamp(model), 0.999 * LIMIT * direction)
    assert not joint_tractions(model, held)["seat"].slips.any()
    shear = joint_tractions(model, held)["seat"].value[:, :2]
    assert shear == pytest.approx(
        np.tile(-0.999 * LIMIT / AREA * -direction[:2], (len(shear), 1)), rel=1e-6
    )


def test_beyond_the_limit_all_of_a_joint_slips_and_a_spring_takes_the_rest() -> None:
    model = block(SPRING)
    slide = 1.5 * FIRST_SLIDE
    state = load(model, clamp(model), along_x(force_at(slide)))
    assert joint_tractions(model, state)["seat"].slips.all()
    at = model.interface.slices["spring"].start
    assert state.tractions[at] == pytest.approx(SPRING * slide, rel=ROUGHLY_RIGID)


@pytest.mark.parametrize("asked", [1.2, 3.0, 20.0])
def test_with_no_other_support_the_joint_is_lost_at_coulombs_force(
    asked: float,
) -> None:
    model = block(None)
    with pytest.raises(SolveError, match="joint seat is lost: it slides") as caught:
        load(model, clamp(model), along_x(asked * LIMIT))
    found = re.search(r"beyond a cutting force of (\d+) N", str(caught.value))
    assert found is not None
    # The limit is told from below, to the shortest load step (twice it, because steps
    # are halved) and to a newton.
    resolution = 2.0 * SHORTEST_LOAD_STEP * asked * LIMIT + 1.0
    assert LIMIT - resolution <= float(found[1]) <= LIMIT + 0.5


def test_a_joint_that_is_pulled_open_is_said_to_lift() -> None:
    model = block(None)
    with pytest.raises(SolveError, match="joint seat is lost: it lifts"):
        load(model, clamp(model), np.array([0.0, 0.0, 1.5 * PRELOAD]))


def test_a_joint_that_nothing_clamps_is_named() -> None:
    seat = Seat(name="loose seat", law=LAW, sizes=SIZES)
    pushed_off = Rod(name="jack", axis="z", preload=-10.0)
    with pytest.raises(SolveError, match=r"does not hold.*loose seat is lost"):
        clamp(rigid_block([seat], [pushed_off], (0.0, 0.0, 0.0)))


def test_a_cycle_follows_masings_loop() -> None:
    model = block(SPRING)
    top = 3.0 * FIRST_SLIDE
    peak = force_at(top)
    # On the way back everything is twice as large: S - 2 (S + K_s S / K_t) ...
    knee = peak - 2.0 * force_at(FIRST_SLIDE)
    forces = np.array([force_at(FIRST_SLIDE), peak, knee, -peak, -knee, peak])
    slides = FIRST_SLIDE * np.array([1.0, 3.0, 1.0, -3.0, -1.0, 3.0])
    _, moved = follow(model, forces)
    assert moved[1:] == pytest.approx(slides, rel=ROUGHLY_RIGID)


def test_loss_of_a_cycle_is_the_loops_area_and_the_work_of_friction() -> None:
    model = block(SPRING)
    top = 3.0 * FIRST_SLIDE
    peak = force_at(top)
    knee = peak - 2.0 * force_at(FIRST_SLIDE)
    forces = np.array([peak, knee, -peak, -knee, peak])
    states, moved = follow(model, forces)
    # From the first peak round to it again; the loop's corners are among the states,
    # so straight lines between them are the loop.
    x, f = moved[1:], forces
    area = float(((f[1:] + f[:-1]) / 2.0 * np.diff(x)).sum())
    work = friction_work(model, states)
    assert area == pytest.approx(4.0 * LIMIT * (top - FIRST_SLIDE), rel=1e-4)
    assert sum(work[1:]) == pytest.approx(area, rel=1e-4)
    assert min(work) >= -1e-9 * area


def test_loss_is_the_work_of_friction_where_the_pad_slips_part_by_part() -> None:
    model = block(SPRING, height=15.0)
    peak, n = 2.0 * LIMIT, 40
    way = np.linspace(-1.0, 1.0, n + 1)[1:]
    cycle = peak * np.concatenate([-way, way])
    # The first cycle only finds the loop that the second goes round.
    forces = np.concatenate([[peak], cycle, cycle])
    states, moved = follow(model, forces)
    slips = [joint_tractions(model, state)["seat"].slips.mean() for state in states]
    assert any(0.1 < share < 0.9 for share in slips)
    x, f = moved[1 + len(cycle) :], forces[len(cycle) :]
    assert x[0] == pytest.approx(x[-1], rel=1e-6)
    area = float(((f[1:] + f[:-1]) / 2.0 * np.diff(x)).sum())
    work = friction_work(model, states)
    assert area > 0.1 * LIMIT * FIRST_SLIDE
    assert min(work) >= -1e-9 * area
    # Shear changes along a step's slip with the pressure: first order in the steps.
    assert sum(work[len(cycle) + 1 :]) == pytest.approx(area, rel=0.02)


def test_a_settled_joint_vibrates_sticking_and_a_slipping_one_goes_on() -> None:
    model = block(SPRING)
    force = along_x(force_at(2.0 * FIRST_SLIDE))
    slipping = solve(model, clamp(model), force)
    settled = load(model, clamp(model), force)
    soft, hard = (
        tangent_compliance(model, state)[0, 0] for state in (slipping, settled)
    )
    assert soft == pytest.approx(1.0 / SPRING, rel=1e-3)
    assert hard == pytest.approx(1.0 / (SPRING + STICKING), rel=1e-3)


def test_a_settled_states_tangent_is_symmetric_though_it_slips() -> None:
    model = block(SPRING, height=25.0)
    state = load(model, clamp(model), along_x(1.1 * LIMIT))
    assert joint_tractions(model, state)["seat"].slips.any()
    largest = np.abs(state.tangent).max()
    assert np.abs(state.tangent - state.tangent.T).max() <= 1e-12 * largest
