"""A rigid block tipped by a side load: the middle third, and the way beyond it.

Source: a rectangular footing on a foundation without tension (any book on footings or
masonry). On width b and depth d, under a force N at eccentricity e: pressed all over
while e <= b/6, with slope 12 C N e / (b³ d); beyond it pressed over b' = 3 (b/2 - e)
with p_max = 2 N / (b' d) and slope C p_max / b', for a linear law p = closure / C. For
p = (closure / C)² the two equations of balance are integrated here by themselves.
"""

import numpy as np
import pytest
from contact_blocks import Rod, Seat, rigid_block
from scipy.integrate import quad
from scipy.optimize import root

from fea.core.contact_law import ContactLaw
from fea.core.contact_model import ContactModel, ContactState
from fea.core.equilibrium import clamp, load

WIDTH, DEPTH, HEIGHT = 60.0, 40.0, 100.0
PRELOAD = 6000.0
CLOSURE = 1e-3
# Beyond the middle third the pressure has a kink, which Gauss points only resolve as
# their number squared grows; so many leave less than 1e-3.
FINE = 60


def block(exponent: float, order: int) -> tuple[Seat, ContactModel]:
    law = ContactLaw(
        closure=CLOSURE, exponent=exponent, tangential_ratio=0.5, friction=1e3
    )
    pressure = PRELOAD / (WIDTH * DEPTH)
    seat = Seat(
        name="seat", law=law, sizes=(WIDTH, DEPTH), order=order, pressure=pressure
    )
    stud = Rod(name="stud", axis="z", preload=PRELOAD)
    return seat, rigid_block([seat], [stud], (0.0, 0.0, HEIGHT))


def tipped(model: ContactModel, eccentricity: float) -> ContactState:
    push = PRELOAD * eccentricity / HEIGHT
    return load(model, clamp(model), np.array([push, 0.0, 0.0]))


def closure_at(seat: Seat, model: ContactModel, state: ContactState, x: float) -> float:
    normal = state.coefficients[model.interface.slices["seat"]][2::3]
    return float(-normal @ seat.functions(x, 0.0))


def turn(seat: Seat, model: ContactModel, state: ContactState) -> float:
    ends = [closure_at(seat, model, state, x) for x in (-WIDTH / 2.0, WIDTH / 2.0)]
    return (ends[1] - ends[0]) / WIDTH


def linear_turn(eccentricity: float) -> float:
    if eccentricity <= WIDTH / 6.0:
        return CLOSURE * 12.0 * PRELOAD * eccentricity / (WIDTH**3 * DEPTH)
    pressed = 3.0 * (WIDTH / 2.0 - eccentricity)
    return CLOSURE * 2.0 * PRELOAD / (pressed**2 * DEPTH)


def test_lift_off_starts_when_the_force_leaves_the_middle_third() -> None:
    seat, model = block(1.0, 5)
    clamped = CLOSURE * PRELOAD / (WIDTH * DEPTH)
    for share, expected in ((0.9, 0.1), (0.999, 0.001), (1.0, 0.0), (1.001, -0.001)):
        state = tipped(model, share * WIDTH / 6.0)
        edge = closure_at(seat, model, state, -WIDTH / 2.0) / clamped
        # The block gives 1e-5 of what the joint does, which shifts e by as much.
        assert edge == pytest.approx(expected, abs=3e-5)


@pytest.mark.parametrize("share", [0.3, 0.9, 1.1, 1.5, 2.0, 2.5])
def test_turn_of_a_linear_foundation_matches_the_closed_form(share: float) -> None:
    seat, model = block(1.0, FINE)
    eccentricity = share * WIDTH / 6.0
    state = tipped(model, eccentricity)
    expected = linear_turn(eccentricity)
    # 60 points: the kink falls between two of them, at most a sixtieth of the width
    # apart; the error is of second order in that over the pressed width.
    assert turn(seat, model, state) == pytest.approx(expected, rel=2e-3)


def test_pressed_width_after_lift_off_matches_the_closed_form() -> None:
    seat, model = block(1.0, FINE)
    eccentricity = 0.3 * WIDTH
    state = tipped(model, eccentricity)
    toe = closure_at(seat, model, state, WIDTH / 2.0)
    pressed = toe / turn(seat, model, state)
    assert pressed == pytest.approx(3.0 * (WIDTH / 2.0 - eccentricity), rel=2e-3)


def integrated_turn(eccentricity: float) -> float:
    """Slope of the block for p = (closure / C)², by quadrature and a root finder."""

    def pressure(x: float, level: float, gradient: float) -> float:
        return max(level + gradient * x, 0.0) ** 2

    def imbalance(unknown: np.ndarray) -> list[float]:
        # In units of the clamped closure, and per half width.
        level, gradient = unknown
        start = -1.0 if level > gradient else -level / gradient
        force = quad(lambda x: pressure(x, level, gradient), start, 1.0)[0]
        moment = quad(lambda x: x * pressure(x, level, gradient), start, 1.0)[0]
        return [force - 2.0, moment - 2.0 * eccentricity / (WIDTH / 2.0)]

    found = root(imbalance, [0.8, 1.0], tol=1e-12)
    assert found.success
    clamped = CLOSURE * (PRELOAD / (WIDTH * DEPTH)) ** 0.5
    return float(found.x[1] * clamped / (WIDTH / 2.0))


@pytest.mark.parametrize("share", [0.3, 1.0, 1.4, 2.0, 2.5])
def test_turn_of_a_foundation_that_stiffens_matches_quadrature(share: float) -> None:
    seat, model = block(0.5, FINE)
    eccentricity = share * WIDTH / 6.0
    state = tipped(model, eccentricity)
    # The pressure leaves the lift-off line with a slope of 0: no kink, less error.
    assert turn(seat, model, state) == pytest.approx(
        integrated_turn(eccentricity), rel=2e-4
    )


@pytest.mark.parametrize("exponent", [0.5, 1.0])
def test_the_usual_number_of_points_is_enough(exponent: float) -> None:
    # Seven points a side is what a pad of degree 3 has.
    turns = []
    for order in (7, FINE):
        seat, model = block(exponent, order)
        turns.append(turn(seat, model, tipped(model, 0.25 * WIDTH)))
    # The kink of the linear law costs up to 1 / 7² times a half of the pressed share.
    assert turns[0] == pytest.approx(turns[1], rel={0.5: 2e-3, 1.0: 3e-2}[exponent])
