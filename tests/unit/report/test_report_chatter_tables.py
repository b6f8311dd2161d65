"""Tables of chatter: limits at the lathe's speeds, advice, modes."""

from dataclasses import replace
from math import inf

import numpy as np
from invented_chatter import with_limits

from fea.analysis.chatter_result import Chatter
from fea.report.chatter_tables import (
    MODES_SHOWN,
    advice_table,
    gain_words,
    limits_table,
    modes_table,
)
from fea.report.table import NOT_THERE


def test_the_speed_of_the_case_is_a_row_even_if_the_lathe_lacks_it(
    plain: Chatter,
) -> None:
    table = limits_table(plain)
    assert [table.rows[i][0] for i in table.marked] == ["450"]
    assert {row[0] for row in table.rows} >= {"45", "1150"}
    assert len({len(row) for row in (table.head, *table.rows)}) == 1
    off = replace(plain.quick_change.chosen, speed_rpm=np.array([430.0]))
    other = limits_table(with_limits(plain, off, off))
    assert [row[0] for row in other.rows][5:7] == ["430", "450"]
    assert other.rows[5][1] == "1.9 (1.4 to 2.6)"
    assert other.marked == (5,)


def test_advice_keeps_its_order_and_its_signs(plain: Chatter) -> None:
    rows = advice_table(plain).rows
    assert [row[0] for row in rows] == [each.change for each in plain.advice]
    assert [row[-1] for row in rows] == ["+45 %", "+12 %", "−10 %"]
    assert gain_words(inf) == NOT_THERE
    assert gain_words(-0.004) == gain_words(0.004) == "0 %"


def test_modes_are_told_by_frequency_note_and_way_and_the_limiting_one_is_marked(
    plain: Chatter,
) -> None:
    table = modes_table(plain.quick_change)
    assert table.marked == (plain.quick_change.limiting_mode,)
    row = table.rows[1]
    assert row[:7] == (
        "2",
        "640",
        "D#5",
        "3.10",
        "17.0",
        "1.05",
        "up and toward work",
    )
    assert row[7] == "tool bit 14 %, fixed flank 13 %, holder 12 %"
    resting = replace(plain.quick_change.modes[0], stiffness_n_per_um=inf, mass_kg=inf)
    rows = modes_table(replace(plain.quick_change, modes=(resting,))).rows
    assert rows[0][4:6] == (NOT_THERE, NOT_THERE)


def test_of_many_modes_the_lowest_are_shown_and_always_the_limiting_one(
    plain: Chatter,
) -> None:
    stack = plain.quick_change
    many = replace(stack, modes=stack.modes * 10, limiting_mode=1)
    assert len(modes_table(many).rows) == MODES_SHOWN
    high = modes_table(replace(many, limiting_mode=20))
    assert high.rows[high.marked[0]][0] == "21"
