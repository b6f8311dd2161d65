"""What is said of chatter: in every regime, of limits without end, and of the bar."""

from dataclasses import replace

import numpy as np
import pytest
from invented_chatter import at_450, with_limits

from fea.analysis.chatter_result import Chatter, StackChatter
from fea.report.chatter_pitch import heard, note_of
from fea.report.chatter_verdict import chatter_verdict
from fea.report.chatter_words import (
    Limiter,
    chance,
    limiter,
    main_members,
    motion_words,
    with_band,
)
from fea.report.table import NOT_THERE

INF, NAN = float("inf"), float("nan")
BOTH_INFINITE = np.array([INF, INF])


def stable(stack: StackChatter) -> StackChatter:
    """Nothing that was tried chatters, at any speed."""
    return replace(
        stack,
        chosen=at_450(INF, INF, INF, NAN),
        lathe=at_450(INF, INF, INF, NAN),
        smallest_mm=INF,
        smallest_band_mm=BOTH_INFINITE,
        smallest_frequency_hz=NAN,
        rigid_work_mm=INF,
        rigid_stack_mm=INF,
    )


@pytest.mark.parametrize(
    ("frequency", "note"),
    [
        (440.0, "A4"),
        (187.0, "F#3"),
        (261.63, "C4"),
        (246.94, "B3"),
        (27.5, "A0"),
        (16.35, "C0"),
    ],
)
def test_a_frequency_has_the_nearest_note_of_equal_temperament(
    frequency: float, note: str
) -> None:
    assert note_of(frequency) == note


def test_a_note_reaches_half_a_semitone_to_either_side() -> None:
    semitone = 2.0 ** (1.0 / 12.0)
    assert note_of(440.0 * semitone**0.49) == note_of(440.0 / semitone**0.49) == "A4"
    assert (note_of(440.0 * semitone**0.51), note_of(440.0 / semitone**0.51)) == (
        "A#4",
        "G#4",
    )
    assert heard(187.2) == "187 Hz, about F#3"


def test_limits_of_both_stacks_stand_with_their_bands(plain: Chatter) -> None:
    assert chatter_verdict(plain, 2.0).limits == (
        "At 450 rev/min the quick-change post should hold 1.9 mm depth of cut "
        "(1.4 to 2.6), the four-way block 2.1 mm (1.5 to 2.9)."
    )
    wide = replace(plain, quantity="width of tool")
    assert "1.9 mm width of tool (1.4" in chatter_verdict(wide, 2.0).limits
    assert "force the case's width of tool, 2 mm," in chatter_verdict(wide, 2.0).asked


@pytest.mark.parametrize(
    ("depth", "words"),
    [
        (1.0, "1 mm, is safe at any speed with either stack"),
        (
            1.7,
            "1.7 mm, holds at this speed, but not at every other one, with the "
            "quick-change post and is safe at any speed with the four-way block",
        ),
        (
            2.0,
            "2 mm, chatters at this speed with the quick-change post and holds at this "
            "speed, but not at every other one, with the four-way block",
        ),
        (3.0, "3 mm, chatters at this speed with either stack"),
    ],
)
def test_the_cases_largest_depth_is_put_in_its_most_likely_regime(
    plain: Chatter, depth: float, words: str
) -> None:
    # 1.4 and 1.9 mm hold at any speed, 1.9 and 2.1 mm at this one.
    asked = chatter_verdict(plain, depth).asked
    assert asked.startswith(
        "With the most likely joints, damping and cutting force the case's largest "
        f"depth of cut, {words}; over all that these may be, the chance"
    )


def test_the_chance_of_chatter_is_that_of_the_map(chatter: Chatter) -> None:
    stack = chatter.quick_change
    few = replace(
        stack.map,
        speed_rpm=np.array([300.0, 440.0, 700.0]),
        depth_mm=np.array([1.0, 3.0]),
        probability=np.array([[0.0, 0.2, 0.9], [1.0, 0.6, 1.0]]),
    )
    known = replace(stack, map=few)
    found = [chance(known, depth) for depth in (0.0, 0.5, 1.0, 2.0, 9.0)]
    # decimal fractions interpolated: rounding only
    assert found == pytest.approx([0.0, 0.1, 0.2, 0.4, 0.6], abs=1e-12)
    told = chatter_verdict(replace(chatter, quick_change=known, four_way=known), 2.0)
    assert told.asked.endswith("it chatters at this speed is 40 % with either stack.")
    told = chatter_verdict(replace(chatter, quick_change=known), 0.0)
    assert told.asked.endswith("is 0 % with either stack.")
    told = chatter_verdict(replace(chatter, quick_change=known), 9.0)
    assert told.asked.endswith(
        "is 60 % with the quick-change post and 100 % with the four-way block."
    )


def test_a_limit_without_end_reads_well(plain: Chatter) -> None:
    one = replace(plain, four_way=stable(plain.four_way))
    assert chatter_verdict(one, 2.0).limits == (
        "At 450 rev/min the quick-change post should hold 1.9 mm depth of cut "
        "(1.4 to 2.6), the four-way block more than 6 mm."
    )
    other = replace(plain, quick_change=stable(plain.quick_change))
    assert chatter_verdict(other, 2.0).limits == (
        "At 450 rev/min the quick-change post should hold more than 6 mm depth of cut, "
        "the four-way block 2.1 mm (1.5 to 2.9)."
    )


def test_a_band_that_ends_beyond_what_was_tried_says_so() -> None:
    assert with_band(4.0, np.array([3.0, INF]), 6.0) == "4 (3 to more than 6)"
    assert with_band(INF, np.array([5.0, INF]), 6.0) == (
        "more than 6 (5 to more than 6)"
    )
    assert with_band(INF, BOTH_INFINITE, 6.0) == "more than 6"
    assert with_band(NAN, np.array([NAN, NAN]), 6.0) == NOT_THERE


def test_stacks_that_never_chatter_sing_no_note_and_blame_nobody(
    plain: Chatter,
) -> None:
    quiet = replace(
        plain,
        quick_change=stable(plain.quick_change),
        four_way=stable(plain.four_way),
        advice=(),
    )
    words = chatter_verdict(quiet, 2.0)
    assert "should hold more than 6 mm depth of cut, the" in words.limits
    assert "is safe at any speed with either stack" in words.asked
    assert words.worst == "No speed of the lathe is worse with either stack."
    assert (words.sound, words.cause, words.advice) == ("", "", "")
    assert "inf" not in words.text
    assert "nan" not in words.text


def test_a_limit_that_was_not_found_is_said_and_not_judged(plain: Chatter) -> None:
    unknown = with_limits(plain, at_450(NAN, NAN, NAN, NAN), plain.four_way.chosen)
    words = chatter_verdict(unknown, 2.0)
    assert "no limit was found for the quick-change post" in words.limits
    assert "quick-change" not in words.asked
    assert "nan" not in words.text


@pytest.mark.parametrize(
    ("rigid_work", "rigid_stack", "side"),
    [
        (4.0, 1.5, Limiter.BAR),
        (1.5, 4.0, Limiter.TOOL),
        (2.00, 2.05, Limiter.BOTH),
        (INF, 2.0, Limiter.BAR),
        (2.0, INF, Limiter.TOOL),
        (INF, INF, Limiter.BOTH),
        (NAN, 2.0, None),
    ],
)
def test_the_side_that_pays_to_be_made_rigid_is_what_chatters(
    chatter: Chatter, rigid_work: float, rigid_stack: float, side: Limiter | None
) -> None:
    stack = replace(
        chatter.quick_change, rigid_work_mm=rigid_work, rigid_stack_mm=rigid_stack
    )
    assert limiter(stack) is side


def test_a_bar_that_chatters_is_named_and_the_post_left_alone(plain: Chatter) -> None:
    limp = replace(plain.quick_change, rigid_work_mm=5.1, rigid_stack_mm=1.6)
    words = chatter_verdict(replace(plain, quick_change=limp), 2.0).cause
    assert words.startswith(
        "With the quick-change post it is the bar with its chuck and spindle that "
        "chatters: were the tool and all that holds it rigid, 1.6 mm would hold at any "
        "speed; were the bar, chuck and spindle rigid, 5.1 mm."
    )
    assert "With the four-way block it is the tool with what holds it" in words
    assert words.endswith("before changing anything at the post.")
    assert "before changing" not in chatter_verdict(plain, 2.0).cause


def test_a_rigid_side_that_would_hold_less_is_told_as_no_gain(plain: Chatter) -> None:
    # A bar that gives can steady the tool; 1.4 and 1.9 mm hold with both sides.
    steadied = replace(
        plain,
        quick_change=replace(plain.quick_change, rigid_work_mm=1.2, rigid_stack_mm=4.2),
        four_way=replace(plain.four_way, rigid_work_mm=1.95, rigid_stack_mm=4.2),
    )
    assert chatter_verdict(steadied, 2.0).cause == (
        "With either stack it is the tool with what holds it that chatters: were the "
        "tool and all that holds it rigid, 4.2 mm would hold at any speed; were the "
        "bar, chuck and spindle rigid, no more than now."
    )


def test_the_lathes_worst_speed_is_told_with_what_holds_there(plain: Chatter) -> None:
    # 1.9 mm at the chosen speed of 450 rev/min: no other holds less.
    slow = replace(plain.quick_change.lathe, limit_mm=np.full(9, 1.9))
    limit, band = np.full(9, 3.0), np.full((2, 9), [[2.5], [4.0]])
    limit[1], band[:, 1] = 1.8, (1.1, 2.3)
    dip = replace(plain.four_way.lathe, limit_mm=limit, band_mm=band)
    told = replace(
        plain,
        quick_change=replace(plain.quick_change, lathe=slow),
        four_way=replace(plain.four_way, lathe=dip),
    )
    assert chatter_verdict(told, 2.0).worst == (
        "No speed of the lathe is worse with the quick-change post and at the lathe's "
        "worst speed, 95 rev/min, 1.8 mm (1.1 to 2.3) should hold with the four-way "
        "block."
    )


def test_frequency_and_note_of_both_stacks_are_told(plain: Chatter) -> None:
    assert chatter_verdict(plain, 2.0).sound == (
        "Chatter would sing at 670 Hz, about E5, with the quick-change post and at "
        "870 Hz, about A5, with the four-way block."
    )
    silent = with_limits(plain, at_450(INF, 3.0, INF, NAN), plain.four_way.chosen)
    # then that of the speed at which the least holds: 1.04 x 640 Hz
    assert "sing at 666 Hz, about E5, with the quick" in (
        chatter_verdict(silent, 2.0).sound
    )


def test_advice_is_given_with_its_gain_if_it_is_worth_it(plain: Chatter) -> None:
    assert chatter_verdict(plain, 2.0).advice == (
        "What helps most: overhang 18 mm to 14 mm; then 2.4 mm should hold, 45 % more."
    )
    small = replace(plain.advice[0], gain=0.01)
    assert chatter_verdict(replace(plain, advice=(small,)), 2.0).advice == ""
    endless = replace(plain.advice[0], gain=INF, limit_mm=INF)
    assert "then nothing up to 6 mm chatters" in (
        chatter_verdict(replace(plain, advice=(endless,)), 2.0).advice
    )


def test_a_way_is_the_same_there_and_back() -> None:
    tip = np.array([0.5, 0.1, -0.86])
    assert motion_words(tip) == motion_words(-tip) == "up and toward work"
    assert motion_words(np.array([0.0, -1.0, 0.0])) == "to tailstock"


def test_screws_of_one_kind_are_one_member_of_a_mode(chatter: Chatter) -> None:
    mode = chatter.quick_change.modes[0]
    screws = [s for s in mode.shares if s.name.startswith("set screw")]
    many = tuple(replace(s, fraction=0.3) for s in screws)
    assert main_members(replace(mode, shares=many)) == "set screw 90 %"
