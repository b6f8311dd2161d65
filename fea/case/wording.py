"""A case's values as text with units, for a person who works in mm or in inches."""

from collections.abc import Sequence
from enum import StrEnum
from operator import attrgetter
from typing import cast

from fea.case.calibration_section import Scores, Spreads
from fea.case.field_kind import FieldKind, Percent, Quantity, RisingList
from fea.case.key_tree import kind_of
from fea.case.schema import Case
from fea.case.unit_registry import RATIO, SHARE, QuantityKind, unit_factor


class Units(StrEnum):
    """Which units a person reads."""

    MM = "mm"
    INCH = "in"


def value_of(case: Case, key: str) -> object:
    """Return what a case holds under a dotted key."""
    return cast("object", attrgetter(key)(case))


def shown(case: Case, key: str, units: Units = Units.MM) -> str:
    """Return the value of a key with its unit."""
    return shown_value(kind_of(key), value_of(case, key), units)


def shown_value(kind: FieldKind, value: object, units: Units = Units.MM) -> str:
    """Return a value of a kind with its unit, "-" for none."""
    if value is None or value == ():
        return "-"
    if isinstance(kind, Quantity) and isinstance(value, float):
        return shown_quantity(value, kind.kind, units)
    if isinstance(kind, Percent) and isinstance(value, float):
        return f"{_rounded(100.0 * value)} %"
    if isinstance(kind, RisingList) and isinstance(value, tuple):
        return _shown_list(value, kind.item.kind, units)
    if isinstance(kind, Scores | Spreads) and isinstance(value, dict | tuple):
        noun = "constants" if isinstance(kind, Scores) else "directions"
        return f"{len(value)} {noun}" if value else "-"
    if isinstance(value, tuple):
        return ", ".join(str(each) for each in value)
    return str(value)


def shown_quantity(value: float, kind: QuantityKind, units: Units = Units.MM) -> str:
    """Return a number in the kind's unit as text, in the unit the person reads."""
    if kind is SHARE:
        return f"{value:.0%}"
    if kind is RATIO:
        return _rounded(value)
    unit = kind.inch_unit if units is Units.INCH else kind.unit
    return f"{_rounded(value / unit_factor(unit, kind))} {unit}"


def _shown_list(values: tuple[float, ...], kind: QuantityKind, units: Units) -> str:
    first, last = (shown_quantity(values[i], kind, units) for i in (0, -1))
    return first if len(values) == 1 else f"{len(values)} from {first} to {last}"


def _rounded(number: float) -> str:
    """Four significant figures, and never an exponent for what a shop measures."""
    text = f"{number:.4g}"
    return f"{number:.0f}" if "e" in text else text


def collide(case: Case, keys: Sequence[str], why: str) -> str:
    """Return the sentence that several values do not go together."""
    named = [f"{key} = {shown(case, key)}" for key in keys]
    *most, last = named
    if not most:
        return f"{last}: {why}"
    return f"{', '.join(most)} and {last} collide: {why}"
