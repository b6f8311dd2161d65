"""Numbers as a report writes them."""

import pytest

from fea.report.number import (
    between,
    counted,
    nice_below,
    percent,
    rounded,
    setting,
)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (1234.5, "1230"),
        (34.0, "34.0"),
        (0.001234, "0.00123"),
        (0.9996, "1.00"),
        (-5.678, "−5.68"),
        (0.0, "0"),
        (1.234e-6, "1.23 × 10⁻⁶"),
        (-2.5e8, "−2.50 × 10⁸"),
    ],
)
def test_a_number_has_three_significant_digits(value: float, text: str) -> None:
    assert rounded(value) == text


def test_a_column_lines_up_with_the_decimals_of_its_reference() -> None:
    assert [rounded(v, like=0.03) for v in (1.0, -0.012345, -1e-9)] == [
        "1.0000",
        "−0.0123",
        "0.0000",
    ]


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_is_not_a_number_is_not_written(value: float) -> None:
    with pytest.raises(ValueError, match="cannot state"):
        rounded(value)


def test_a_share_that_is_small_but_there_is_not_called_zero() -> None:
    texts = [percent(f) for f in (0.0, 0.004, 0.41, 1.0, -0.02)]
    assert texts == ["0 %", "< 1 %", "41 %", "100 %", "−2 %"]


def test_a_setting_keeps_no_trailing_zeros() -> None:
    assert [setting(v) for v in (2.0, 0.25)] == ["2", "0.25"]


def test_a_count_has_its_thousands_apart() -> None:
    assert counted(97290).split() == ["97", "290"]


@pytest.mark.parametrize(
    ("value", "nice"), [(200.0, 200.0), (199.0, 100.0), (0.06, 0.05), (9.9, 5.0)]
)
def test_a_drawing_scale_is_a_round_number_not_above(value: float, nice: float) -> None:
    assert nice_below(value) == pytest.approx(nice, rel=1e-12)  # a power of ten


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        (0.7, 0.95, "0.7 to 0.95"),
        (0.9116, 1.584, "0.91 to 1.6"),
        (7.61, 14.6, "7.6 to 15"),
        (-81.6, 0.0, "−82 to 0"),
        (123.0, 4560.0, "120 to 4600"),
        (0.0000123, 0.00234, "1.20 × 10⁻⁵ to 0.0023"),
    ],
)
def test_ends_of_a_band_have_two_digits(low: float, high: float, text: str) -> None:
    assert between(low, high) == text


def test_a_band_without_an_end_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot state nan"):
        between(1.0, float("nan"))
