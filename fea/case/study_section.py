"""What the case file says of a study: what varies, in which limits, to which end."""

from dataclasses import dataclass
from difflib import get_close_matches
from typing import Annotated, cast

from pydantic import Field

from fea.case.field_kind import (
    FieldKind,
    Quantity,
    RisingList,
    Whole,
    read_quantity,
    refuse,
)
from fea.case.section import Section
from fea.case.study_measure import MEASURES, Measure
from fea.case.study_shop import Cutter, Cutters
from fea.case.unit_registry import LENGTH

MOST, LEAST = "most", "least"
MOST_VARIABLES = 12
MOST_DESIGNS = 2000
"""A night's work at a few seconds a design."""
RANGE_KEYS = {"from", "to", "count"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Variable:
    """A key of the case that a study varies, as the file says it.

    Parameters
    ----------
    key : dotted name
    values : one by one, or empty
    first, last : of a range, or None
    count : values of a range in a grid, or None
    """

    key: str
    values: tuple[object, ...] = ()
    first: object = None
    last: object = None
    count: object = None

    def __str__(self) -> str:
        """Return the key alone: its values are for the study to list."""
        return self.key


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """What a design has to keep to; in the measure's unit, None where it is open."""

    measure: str
    low: float | None
    high: float | None

    def __str__(self) -> str:
        """Return the ends around the name of the measure."""
        unit = MEASURES[self.measure].kind.unit
        low = "" if self.low is None else f"{self.low:g} {unit}".rstrip() + " <= "
        high = "" if self.high is None else " <= " + f"{self.high:g} {unit}".rstrip()
        return f"{low}{self.measure}{high}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What is to be as great, or as small, as it can be."""

    measure: str
    greatest: bool

    def __str__(self) -> str:
        """Return the aim in two words."""
        return f"{MOST if self.greatest else LEAST} {self.measure}"


class Variables(FieldKind):
    """A table of dotted keys, each with a list of values or a range."""

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        return (
            f"a table of at most {MOST_VARIABLES} keys of the case, each with a list "
            'of values or with from, to and count: "post.dovetail.width" = '
            '{ from = "30 mm", to = "50 mm", count = 10 }'
        )

    def read(self, raw: object) -> tuple[Variable, ...]:
        """Return the variables in the order of the file."""
        if not isinstance(raw, dict):
            refuse(f"must be {self.wanted}")
        found = _variables(raw, "")
        if len(found) > MOST_VARIABLES:
            refuse(f"has {len(found)} keys; must be {self.wanted}")
        return found


def _variables(table: dict[str, object], prefix: str) -> tuple[Variable, ...]:
    """Collect variables, whether their dotted names stand in quotes or not."""
    found: list[Variable] = []
    for name, value in table.items():
        key = f"{prefix}{name}"
        if isinstance(value, list):
            found.append(Variable(key=key, values=tuple(value)))
        elif isinstance(value, dict) and not RANGE_KEYS & set(value):
            found += _variables(value, f"{key}.")
        elif isinstance(value, dict) and set(value) <= RANGE_KEYS and len(value) > 1:
            first, last, count = (value.get(each) for each in ("from", "to", "count"))
            found.append(Variable(key=key, first=first, last=last, count=count))
        else:
            refuse(
                f"has {key} = {value!r}, which is no list of values and no range; "
                'write a list, or { from = "30 mm", to = "50 mm", count = 10 }'
            )
    return tuple(found)


class Limits(FieldKind):
    """A table of measures, each with min, max or both."""

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        return (
            'a table of measures, each with min, max or both: mass = { max = "3 kg" } '
            f"(measures: {', '.join(MEASURES)})"
        )

    def read(self, raw: object) -> tuple[Limit, ...]:
        """Return the limits in the order of the file."""
        if not isinstance(raw, dict):
            refuse(f"must be {self.wanted}")
        return tuple(_limit(name, ends) for name, ends in raw.items())


def _limit(name: str, ends: object) -> Limit:
    measure = measure_of(name)
    if not isinstance(ends, dict) or not ends or not set(ends) <= {"min", "max"}:
        refuse(f"has {name} = {ends!r}; give it min, max or both as {{ min = ... }}")
    low, high = (
        _read(measure, ends[end]) if end in ends else None for end in ("min", "max")
    )
    if low is not None and high is not None and low > high:
        refuse(f"has {name} with min above max; correct one of them")
    return Limit(measure=name, low=low, high=high)


def measure_of(name: str) -> Measure:
    """Return a measure by its name, or refuse it."""
    if name in MEASURES:
        return MEASURES[name]
    near = get_close_matches(name, MEASURES, n=1)
    guess = f"; did you mean '{near[0]}'?" if near else ""
    refuse(f"has '{name}', no known measure{guess} (known: {', '.join(MEASURES)})")


def _read(measure: Measure, raw: object) -> float:
    if measure.kind.unit:
        return read_quantity(raw, measure.kind)
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        refuse(f"has {raw!r} for {measure.noun}: must be a number without a unit")
    return float(raw)


class Aims(FieldKind):
    """A table of measures, each with "most" or "least", the first one first."""

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        return (
            "a table of one or two measures, the more important one first, each with "
            f'"{MOST}" or "{LEAST}": {{ stiffness_ratio = "{MOST}", mass = "{LEAST}" }}'
        )

    def read(self, raw: object) -> tuple[Aim, ...]:
        """Return the aims, the more important one first."""
        if not isinstance(raw, dict) or not 1 <= len(raw) <= 2:
            refuse(f"must be {self.wanted}")
        for name, end in raw.items():
            measure_of(name)
            if end not in {MOST, LEAST}:
                refuse(f"has {name} = {end!r}; must be {self.wanted}")
        ends = cast("dict[str, str]", raw)
        return tuple(Aim(measure=k, greatest=e == MOST) for k, e in ends.items())


SHANKS = RisingList(
    Quantity(LENGTH, 3.0, 60.0), 12, "heights of shanks", '["10 mm", "12 mm"]'
)
DEFAULT_AIMS = (
    Aim(measure="stiffness_ratio", greatest=True),
    Aim(measure="mass", greatest=False),
)


class Study(Section):
    """What `stoutpost study` varies, the limits it keeps to and what it aims at."""

    variables: Annotated[tuple[Variable, ...], Variables()] = Field(
        default=(), description="Keys of this case that take several values."
    )
    limits: Annotated[tuple[Limit, ...], Limits()] = Field(
        default=(), description="What a design must keep to, to be recommended."
    )
    aims: Annotated[tuple[Aim, ...], Aims()] = Field(
        default=DEFAULT_AIMS,
        description="What is wanted; where left out, stiffness ratio, then low mass.",
    )
    cutters: Annotated[tuple[Cutter, ...], Cutters()] = Field(
        default=(),
        description=(
            "Dovetail cutters at hand; a design that none of them cuts is left out."
        ),
    )
    shanks: Annotated[tuple[float, ...], SHANKS] = Field(
        default=(),
        description=(
            "Heights of the shanks that a holder must bring to centre height, clear of "
            "the slide and well on its dovetail."
        ),
    )
    designs: Annotated[int | None, Whole(4, MOST_DESIGNS)] = Field(
        default=None,
        description=(
            "How many to compute with three variables or more; where left out, ten a "
            "variable. With one or two, every combination is computed."
        ),
    )
