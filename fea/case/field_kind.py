"""What a key of the case file accepts: how its value is read, said and shown."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import pairwise
from math import isfinite
from typing import Any, NoReturn

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from fea.case.unit_registry import (
    QuantityKind,
    UnknownUnitError,
    WrongDimensionError,
    unit_factor,
)

_DECIMAL = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_FRACTION = r"(?:(\d+)[ -])?(\d+)\s*/\s*(\d+)"
_NUMBER_AND_UNIT = re.compile(
    rf"\s*(?:(?P<fraction>{_FRACTION})|(?P<decimal>{_DECIMAL}))\s*(?P<unit>(?:[^\d,.\s].*?)?)\s*"
)


def refuse(problem: str) -> NoReturn:
    """Refuse a value that cannot be used; `problem` says why and what to do."""
    raise PydanticCustomError("case_value", "{problem}", {"problem": problem})


class FieldKind:
    """Base of everything that can annotate a field of the schema."""

    def read(self, raw: object) -> object:
        """Return the value as the case holds it, or refuse it."""
        raise NotImplementedError

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Let pydantic read the value by `read` alone."""
        return core_schema.no_info_plain_validator_function(self.read)


@dataclass(frozen=True, slots=True)
class Quantity(FieldKind):
    """A number with a unit, between limits that no sane machine passes.

    Parameters
    ----------
    kind : what it measures
    low, high : limits, in the kind's unit
    """

    kind: QuantityKind
    low: float
    high: float

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        unit, inch_unit = self.kind.unit, self.kind.inch_unit
        text = f"{self.kind.noun} from {self.low:g} to {self.high:g} {unit}"
        if unit == inch_unit:
            return text
        factor = unit_factor(inch_unit, self.kind)
        low, high = self.low / factor, self.high / factor
        return f"{text} ({low:.3g} to {high:.3g} {inch_unit})"

    def read(self, raw: object) -> float:
        """Return the value in the kind's unit."""
        value = read_quantity(raw, self.kind)
        if not self.low <= value <= self.high:
            refuse(
                f"must be {self.wanted}; correct the number or its unit",
            )
        return value


def read_quantity(raw: object, kind: QuantityKind) -> float:
    """Return a quantity written as text, in the kind's unit; refuse anything else."""
    example = " or ".join(f'"{text}"' for text in kind.examples)
    if not isinstance(raw, str):
        refuse(
            f"must be {kind.noun} with its unit, as text; write for example {example}"
        )
    match = _NUMBER_AND_UNIT.fullmatch(raw)
    if match is None:
        refuse(
            f"must be {kind.noun}: a number with a decimal point, and its unit; "
            f"write for example {example}"
        )
    value = _number(match)
    if not isfinite(value):
        refuse(f"must be a finite number; write for example {example}")
    unit = match["unit"]
    if not unit:
        refuse(f"has no unit; write for example {example}")
    return value * _factor(unit, kind, example)


def _number(match: re.Match[str]) -> float:
    if match["decimal"] is not None:
        return float(match["decimal"])
    _, whole, top, bottom, *_ = match.groups()
    if int(bottom) == 0:
        refuse("divides by zero; correct the fraction")
    return int(whole or 0) + int(top) / int(bottom)


def _factor(unit: str, kind: QuantityKind, example: str) -> float:
    try:
        return unit_factor(unit, kind)
    except UnknownUnitError:
        refuse(
            f"has the unit '{unit}', which is not known (known: {kind.known}); "
            f"write for example {example}"
        )
    except WrongDimensionError as error:
        refuse(f"is {error}, but {kind.noun} is wanted; write for example {example}")


@dataclass(frozen=True, slots=True)
class Whole(FieldKind):
    """A whole number between two limits, both allowed."""

    low: int
    high: int

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        return f"a whole number from {self.low} to {self.high}"

    def read(self, raw: object) -> int:
        """Return the number; text, fractions and true/false are refused."""
        if isinstance(raw, bool) or not isinstance(raw, int):
            refuse(f"must be {self.wanted}, without quotes or a decimal point")
        if not self.low <= raw <= self.high:
            refuse(f"must be {self.wanted}; correct the number")
        return raw


@dataclass(frozen=True, slots=True)
class Number(FieldKind):
    """A number without a unit, between two limits, both allowed."""

    low: float
    high: float

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        return f"a number from {self.low:g} to {self.high:g}"

    def read(self, raw: object) -> float:
        """Return the number; text and true/false are refused."""
        if isinstance(raw, bool) or not isinstance(raw, int | float):
            refuse(f"must be {self.wanted}, without quotes or a unit")
        if not self.low <= raw <= self.high:
            refuse(f"must be {self.wanted}; correct the number")
        return float(raw)


@dataclass(frozen=True, slots=True)
class Percent(FieldKind):
    """A share of a whole, written in per cent and held as a fraction.

    Parameters
    ----------
    low, high : limits, both allowed [%]
    """

    low: float
    high: float

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        return f'a share from {self.low:g} to {self.high:g} %, as "1 %"'

    def read(self, raw: object) -> float:
        """Return the fraction; a number without its sign is refused."""
        match = _NUMBER_AND_UNIT.fullmatch(raw) if isinstance(raw, str) else None
        if match is None or match["unit"] != "%":
            refuse(f"must be {self.wanted}: text, a number with its sign")
        share = _number(match)
        if not self.low <= share <= self.high:
            refuse(f"must be {self.wanted}; correct the number")
        return share / 100.0


@dataclass(frozen=True, slots=True)
class Words(FieldKind):
    """Free text up to a length."""

    longest: int

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        return f"text in quotes, at most {self.longest} characters"

    def read(self, raw: object) -> str:
        """Return the text."""
        if not isinstance(raw, str) or len(raw) > self.longest:
            refuse(f"must be {self.wanted}")
        return raw.strip()


@dataclass(frozen=True, slots=True)
class Choice(FieldKind):
    """One name out of a list that may live in a data file.

    Parameters
    ----------
    noun : what the names are, in the singular
    names : returns the names; called when a value is read
    also : returns more names that are read, but not listed
    """

    noun: str
    names: Callable[[], Iterable[str]]
    also: Callable[[], Iterable[str]] = tuple

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        return f"one of {', '.join(self.names())}"

    def read(self, raw: object) -> str:
        """Return the name."""
        names = [*self.names(), *self.also()]
        if isinstance(raw, str) and raw in names:
            return raw
        near = get_close_matches(str(raw), names, n=1)
        guess = f"; did you mean '{near[0]}'?" if near else ""
        refuse(f"is no known {self.noun}{guess} (must be {self.wanted})")


@dataclass(frozen=True, slots=True)
class RisingList(FieldKind):
    """Quantities of one kind, each greater than the one before it.

    Parameters
    ----------
    item : what each of them may be
    most : how many there may be
    noun : what they are, in the plural
    example : how they may be written
    """

    item: Quantity
    most: int
    noun: str
    example: str

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        return (
            f"1 to {self.most} {self.noun}, each {self.item.wanted}, rising, as "
            f"{self.example}"
        )

    def read(self, raw: object) -> tuple[float, ...]:
        """Return the values, least first, in the unit of their kind."""
        if not isinstance(raw, list) or not 1 <= len(raw) <= self.most:
            refuse(f"must be {self.wanted}")
        values = tuple(self.item.read(value) for value in raw)
        if any(later <= earlier for earlier, later in pairwise(values)):
            refuse(f"must be {self.noun} that rise one by one; sort the list")
        return values


@dataclass(frozen=True, slots=True)
class DepthList(RisingList):
    """Depths of cut: a rising list, or a table with from, to and count."""

    def read(self, raw: object) -> tuple[float, ...]:
        """Return the values, least first, in the unit of their kind."""
        if not isinstance(raw, dict):
            return RisingList.read(self, raw)
        if set(raw) != {"from", "to", "count"}:
            refuse(f"must have exactly from, to and count; must be {self.wanted}")
        first, last = self.item.read(raw["from"]), self.item.read(raw["to"])
        count = Whole(2, self.most).read(raw["count"])
        if last <= first:
            refuse("must have a deeper 'to' than 'from'; correct one of them")
        step = (last - first) / (count - 1)
        return (*(first + step * i for i in range(count - 1)), last)
