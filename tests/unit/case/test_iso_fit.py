"""Limits by ISO 286: widths from its table, holes up and shafts down."""

import pytest

from fea.case.iso_fit import CLEAR, LOCATING, hole, shaft

# Sizes in mm, widths in um: ISO 286-2, H7, from memory.
PRINTED = [(14.0, 18.0), (24.0, 21.0), (42.0, 25.0), (18.0, 18.0), (18.1, 21.0)]


@pytest.mark.parametrize(("size", "width"), PRINTED)
def test_a_hole_reaches_up_and_a_shaft_down_by_the_printed_width(
    size: float, width: float
) -> None:
    inner, outer = hole(size, LOCATING), shaft(size, LOCATING)
    assert (inner.name, outer.name) == ("H7", "h7")
    assert inner.ends == pytest.approx((size, size + width / 1000.0))
    assert outer.ends == pytest.approx((size - width / 1000.0, size))


def test_a_clear_hole_has_ten_times_the_width_or_nearly() -> None:
    for size in (2.0, 15.0, 42.0, 200.0):
        assert hole(size, CLEAR).upper == pytest.approx(
            10.0 * hole(size, LOCATING).upper, rel=0.25
        )


def test_a_size_beyond_the_table_has_the_width_of_its_last_row() -> None:
    assert hole(400.0, LOCATING).upper == hole(240.0, LOCATING).upper
