"""A wedge between two faces with friction, by the balance of forces on it.

The wedge moves along x. Its lower face lies along x, its upper one leans by alpha; each
face's force is a normal one and a friction against the motion. Both normal forces come
from two equations solved here, and whether it stays put by itself from a search over
both friction cones. Known values of Q / P: closed form, recomputed.
"""

from math import atan, cos, degrees, pi, radians, sin

import numpy as np
import pytest

from fea.core.wedge import (
    flank_force,
    is_self_holding,
    pull_to_loosen,
    spread_from_push,
)

SPREAD_N = 8000.0
EXACT = 1e-10
# Half a unit of the fourth printed figure of 2.061.
FOUR_FIGURES = 2.5e-4


def push_by_balance(
    spread: float, alpha: float, friction: float, inward: float
) -> float:
    """Force along x, positive inward, that just moves the wedge. [N].

    inward : 1 or -1, which way it moves
    """
    # On the wedge: the thick end follows the thin one, so its upper face leans back.
    low_normal, low_along = np.array([0.0, 1.0]), np.array([1.0, 0.0])
    top_normal = np.array([-sin(alpha), -cos(alpha)])
    top_along = np.array([cos(alpha), -sin(alpha)])
    low = low_normal - inward * friction * low_along
    top = top_normal - inward * friction * top_along
    # Across: the lower face carries the spread; the upper one balances it.
    low_force = spread / low[1]
    top_force = -spread / top[1]
    return float(-(low_force * low[0] + top_force * top[0]))


def stays_by_itself(alpha: float, friction: float) -> bool:
    """Whether one line of action lies in both friction cones, searched for."""
    tried = np.linspace(-pi / 4.0, pi / 4.0, 200_001)
    cone = atan(friction)
    # Angles of a force from y; the upper face's normal is turned by alpha.
    return bool(np.any((np.abs(tried) <= cone) & (np.abs(tried - alpha) <= cone)))


@pytest.mark.parametrize(
    ("angle_deg", "friction", "ratio"),
    [(5.0, 0.12, 3.033), (7.0, 0.15, 2.337), (10.0, 0.15, 2.061), (5.71, 0.10, 3.311)],
)
def test_the_spread_of_a_push_is_the_known_one(
    angle_deg: float, friction: float, ratio: float
) -> None:
    spread = spread_from_push(1.0, angle_deg, friction)
    assert spread == pytest.approx(ratio, rel=FOUR_FIGURES)


@pytest.mark.parametrize("angle_deg", [2.0, 7.0, 12.0, 25.0])
@pytest.mark.parametrize("friction", [0.0, 0.08, 0.2])
def test_push_and_pull_balance_the_faces_forces(
    angle_deg: float, friction: float
) -> None:
    alpha = radians(angle_deg)
    pushed = push_by_balance(SPREAD_N, alpha, friction, 1.0)
    pulled = -push_by_balance(SPREAD_N, alpha, friction, -1.0)
    spread = spread_from_push(pushed, angle_deg, friction)
    pull = pull_to_loosen(SPREAD_N, angle_deg, friction)
    assert spread == pytest.approx(SPREAD_N, rel=EXACT)
    assert pull == pytest.approx(pulled, rel=EXACT)


@pytest.mark.parametrize("friction", [0.05, 0.12, 0.2])
def test_a_wedge_holds_itself_up_to_twice_the_angle_of_friction(
    friction: float,
) -> None:
    limit = 2.0 * degrees(atan(friction))
    for share in (0.3, 0.99, 1.01, 1.7):
        angle = share * limit
        assert is_self_holding(angle, friction) == (share < 1.0)
        assert is_self_holding(angle, friction) == stays_by_itself(
            radians(angle), friction
        )
        assert (pull_to_loosen(SPREAD_N, angle, friction) > 0.0) == (share < 1.0)


@pytest.mark.parametrize("flank_deg", [45.0, 55.0, 60.0])
def test_the_flanks_force_along_the_width_is_the_spread(flank_deg: float) -> None:
    normal = flank_force(SPREAD_N, flank_deg)
    # The flank leans by its angle from the face: its normal has sin along the width.
    assert normal * sin(radians(flank_deg)) == pytest.approx(SPREAD_N, rel=EXACT)


def test_a_wedge_without_friction_gives_back_what_it_is_given() -> None:
    # Virtual work: P moves 1 while Q moves tan(alpha).
    push = SPREAD_N * np.tan(radians(10.0))
    assert spread_from_push(push, 10.0, 0.0) == pytest.approx(SPREAD_N, rel=EXACT)
    assert pull_to_loosen(SPREAD_N, 10.0, 0.0) == pytest.approx(-push, rel=EXACT)
