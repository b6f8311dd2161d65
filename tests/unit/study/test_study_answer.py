"""Which designs keep to the limits, the front, its bend, and what is recommended."""

from math import inf, nan

import numpy as np
import pytest
from invented_study import OFFSET, WIDTH, listed, smooth, solved, study_of, varied

from fea.study.answer import LEAST_BEND, Answer, answer_of, beyond
from fea.study.range_end import range_ends
from fea.study.run import Finished

AIMS = {"stiffness_ratio": "most", "mass": "least"}


def two_aims(pairs: list[tuple[float, float]]) -> tuple[Answer, tuple[Finished, ...]]:
    """Answer for designs of a stiffness ratio (most) and a mass (least)."""
    study, designs = listed(
        [{"stiffness_ratio": ratio, "mass_kg": mass} for ratio, mass in pairs], AIMS
    )
    return answer_of(study, designs), designs


def numbers(designs: tuple[Finished, ...]) -> list[int]:
    return [each.design.number for each in designs]


@pytest.mark.parametrize("seed", range(20))
def test_front_is_what_no_design_beats_in_both_aims(seed: int) -> None:
    # Few different values, so that many designs are equal in one aim.
    pairs = np.random.default_rng(seed).integers(0, 12, (40, 2)) / 4.0
    answer, designs = two_aims([(float(r), float(m)) for r, m in pairs])
    unbeaten = {
        (r, m)
        for r, m in map(tuple, pairs)
        if not any(
            r2 >= r and m2 <= m and (r2, m2) != (r, m) for r2, m2 in map(tuple, pairs)
        )
    }
    row = [designs[n - 1].outcome.row for n in numbers(answer.front)]
    front = [(each["stiffness_ratio"], each["mass_kg"]) for each in row]
    assert set(front) == unbeaten
    assert len(front) == len(unbeaten)
    assert front == sorted(front, reverse=True)


@pytest.mark.parametrize("seed", range(20))
def test_bend_is_the_design_farthest_from_the_chord_of_the_front(seed: int) -> None:
    random = np.random.default_rng(seed)
    ratio = np.sort(random.random(12))
    mass = np.sort(random.random(12))
    answer, designs = two_aims(list(zip(ratio.tolist(), mass.tolist(), strict=True)))
    # Every design is on the front here; its ends are the first and the last one.
    x = (mass - mass[0]) / (mass[-1] - mass[0])
    y = (ratio - ratio[0]) / (ratio[-1] - ratio[0])
    above = [
        float(np.cross([1.0, 1.0, 0.0], [a, b, 0.0])[2])
        for a, b in zip(x, y, strict=True)
    ]
    if max(above) > LEAST_BEND:
        assert answer.knee is designs[int(np.argmax(above))]
    else:
        assert answer.knee is None


def test_straight_front_has_no_bend() -> None:
    answer, _ = two_aims([(0.1 * i, 1.0 + 0.2 * i) for i in range(9)])
    assert len(answer.front) == 9
    assert answer.knee is None


def test_designs_that_are_all_equal_have_a_front_of_one_and_no_bend() -> None:
    answer, designs = two_aims([(0.7, 2.0)] * 6)
    assert numbers(answer.front) == [1]
    assert answer.knee is None
    assert answer.recommended is designs[0]
    assert len(answer.level) == 6


def test_front_that_is_equal_in_one_aim_has_no_bend() -> None:
    answer, designs = two_aims([(0.7, 2.0 + 0.1 * i) for i in range(6)])
    assert answer.front == designs[:1]
    assert answer.knee is None


def test_front_whose_differences_mean_nothing_has_no_bend() -> None:
    pairs = [(0.70, 2.0), (0.709, 2.1), (0.71, 3.0)]
    rows = [{"stiffness_ratio": r, "mass_kg": m} for r, m in pairs]
    study, designs = listed(rows, AIMS)
    assert answer_of(study, designs).knee is designs[1]
    assert answer_of(study, designs, scatter=0.02).knee is None


def test_within_the_scatter_the_second_aim_decides() -> None:
    rows = [
        {"stiffness_ratio": 0.700, "mass_kg": 3.0},
        {"stiffness_ratio": 0.698, "mass_kg": 2.5},
        {"stiffness_ratio": 0.600, "mass_kg": 2.0},
    ]
    study, designs = listed(rows, AIMS)
    assert answer_of(study, designs).recommended is designs[0]
    answer = answer_of(study, designs, scatter=0.005)
    assert answer.recommended is designs[1]
    assert answer.level == designs[:2]
    assert answer.runner_up is designs[0]


def test_recommended_agrees_with_trying_every_design() -> None:
    study = study_of(varied(WIDTH, OFFSET), {"mass": {"max": "3 kg"}}, AIMS)
    designs = solved(study, smooth)
    kept = [each for each in designs if each.outcome.row["mass_kg"] <= 3.0]
    best = max(kept, key=lambda each: each.outcome.row["stiffness_ratio"])
    answer = answer_of(study, designs)
    assert answer.recommended is best
    assert set(numbers(answer.within)) == {each.design.number for each in kept}


def test_limits_hold_at_their_ends_and_not_beyond() -> None:
    study, designs = listed(
        [{"stiffness_ratio": 0.7, "mass_kg": m} for m in (1, 2, 3, 4)]
    )
    limited = study_of(varied(WIDTH, count=4), {"mass": {"min": "2 kg", "max": "3 kg"}})
    assert study.limits == ()
    reasons = [beyond(limited, each) for each in designs]
    assert reasons[1] is reasons[2] is None
    assert reasons[0] == reasons[3] == "limit 2 kg <= mass <= 3 kg"


@pytest.mark.parametrize("unknown", [None, nan], ids=["None", "not a number"])
def test_design_with_an_unknown_aim_is_never_recommended(unknown: float | None) -> None:
    rows = [
        {"stiffness_ratio": unknown, "mass_kg": 1.0},
        {"stiffness_ratio": 0.6, "mass_kg": 2.0},
    ]
    study, designs = listed(rows)
    answer = answer_of(study, designs)
    assert answer.within == (designs[1],)
    assert beyond(study, designs[0]) == "stiffness_ratio could not be found"


def test_endless_value_keeps_to_a_lower_limit_and_makes_no_bend() -> None:
    rows = [
        {"limit_depth_mm": depth, "mass_kg": mass}
        for depth, mass in ((inf, 4.0), (2.0, 3.0), (1.9, 2.0), (1.0, 1.9))
    ]
    aims = {"limit_depth": "most", "mass": "least"}
    study, designs = listed(rows, aims)
    limited = study_of(varied(WIDTH, count=4), {"limit_depth": {"min": "1.5 mm"}}, aims)
    assert answer_of(study, designs).knee is None
    answer = answer_of(limited, designs)
    assert answer.within == designs[:3]
    assert answer.recommended is designs[0]


def test_nothing_is_recommended_where_nothing_keeps_to_the_limits() -> None:
    study = study_of(varied(WIDTH), {"mass": {"max": "1 kg"}})
    answer = answer_of(study, solved(study, smooth))
    assert answer.recommended is answer.runner_up is answer.knee is None
    assert answer.within == answer.front == answer.level == ()


def test_end_of_a_range_is_found_on_either_side() -> None:
    study = study_of(varied(WIDTH, OFFSET))
    designs = solved(study, smooth)
    by_values = {tuple(each.design.values.values()): each for each in designs}
    corner = by_values["54 mm", "-10 mm"]
    ends = {e.key: (e.value, e.is_upper) for e in range_ends(study, designs, corner)}
    assert ends == {WIDTH: ("54 mm", True), OFFSET: ("-10 mm", False)}
    inside = by_values["38 mm", "-2 mm"]
    assert not list(range_ends(study, designs, inside))


def test_what_the_case_file_does_not_allow_to_pass_is_no_end() -> None:
    study = study_of({"post.dovetail.angle": {"from": "55 deg", "to": "75 deg"}})
    designs = solved(study, smooth)
    assert [each.value for each in range_ends(study, designs, designs[0])] == ["55 deg"]
    assert not list(range_ends(study, designs, designs[-1]))


def test_choice_and_variable_of_one_value_have_no_end() -> None:
    study = study_of({"post.clamping.way": ["wedge", "draw"], WIDTH: ["42 mm"]})
    designs = solved(study, smooth)
    assert not list(range_ends(study, designs, designs[0]))
