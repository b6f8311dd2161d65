"""How the report writes numbers: three significant digits, no false precision."""

from math import floor, isfinite, log10

SIGNIFICANT_DIGITS = 3
PLAIN_LIMITS = (1e-4, 1e7)
"""Outside of these a number is written with a power of ten."""
MINUS = "\N{MINUS SIGN}"
THIN_SPACE = "\N{NARROW NO-BREAK SPACE}"
SUPERSCRIPTS = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def rounded(value: float, like: float | None = None) -> str:
    """Write a number with three significant digits.

    Parameters
    ----------
    value : what is written
    like : the number whose decimals are used instead, for columns that line up
    """
    value = float(value)
    if not isfinite(value):
        message = f"a report cannot state {value}"
        raise ValueError(message)
    reference = abs(value if like is None else like)
    if reference == 0.0:
        return "0"
    low, high = PLAIN_LIMITS
    if not low <= reference < high:
        return _power_of_ten(value)
    decimals = SIGNIFICANT_DIGITS - 1 - _magnitude(reference)
    text = f"{round(value, decimals):.{max(decimals, 0)}f}"
    return _with_minus(text)


def between(low: float, high: float) -> str:
    """Write a band with two significant digits: its ends are not known any better."""
    return f"{coarse(low)} to {coarse(high)}"


def coarse(value: float) -> str:
    """Two significant digits without trailing zeros."""
    value = float(value)
    if not isfinite(value):
        message = f"a report cannot state {value}"
        raise ValueError(message)
    nearest = float(f"{value:.1e}")
    low, high = PLAIN_LIMITS
    if nearest != 0.0 and not low <= abs(nearest) < high:
        return _power_of_ten(nearest)
    return _with_minus(f"{nearest:.10g}")


def percent(fraction: float) -> str:
    """Write a fraction as whole per cent; what is small but there is not called 0."""
    whole = 100.0 * fraction
    if 0.0 < whole < 1.0:
        return "< 1 %"
    return f"{_with_minus(f'{whole:.0f}')} %"


def counted(number: int) -> str:
    """Write a count with its thousands apart."""
    return f"{number:,}".replace(",", THIN_SPACE)


def setting(value: float) -> str:
    """Write a number that somebody chose (a depth of cut): no trailing zeros."""
    return f"{value:.{SIGNIFICANT_DIGITS}g}"


def nice_below(value: float) -> float:
    """Largest of 1, 2, 5, 10, 20, 50, ... that is not above a positive value."""
    power = 10.0 ** floor(log10(value))
    step = max(step for step in (1.0, 2.0, 5.0) if step * power <= value * (1 + 1e-12))
    return step * power


def _magnitude(value: float) -> int:
    """Power of ten of the first digit, after rounding (0.9996 is written 1.00)."""
    text = f"{value:.{SIGNIFICANT_DIGITS - 1}e}"
    return int(text.partition("e")[2])


def _power_of_ten(value: float) -> str:
    digits, _, power = f"{value:.{SIGNIFICANT_DIGITS - 1}e}".partition("e")
    if float(digits) == 0.0:
        return "0"
    return f"{_with_minus(digits)} × 10{str(int(power)).translate(SUPERSCRIPTS)}"


def _with_minus(text: str) -> str:
    """Typographic minus, and none before a zero."""
    if not text.strip("-0."):
        return text.lstrip("-")
    return text.replace("-", MINUS)
