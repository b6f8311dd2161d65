"""Rules by which a key that the case file leaves out gets its value."""

import tomllib
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

_FOLDER = Path(__file__).parent


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightedSum:
    """Sum of other keys' values by factors, and a length.

    Parameters
    ----------
    sum : key to factor
    plus : a length with its unit
    """

    sum: dict[str, float] = field(default_factory=dict)
    plus: str = "0 mm"

    def __str__(self) -> str:
        """Return the sum as a person reads it, "0.8 x tool.shank_height + 4 mm"."""
        terms = [_term(key, factor) for key, factor in self.sum.items()]
        if self.plus != "0 mm":
            terms.append(self.plus)
        return " + ".join(terms).replace("+ -", "- ")


def _term(key: str, factor: float) -> str:
    if abs(factor) == 1.0:
        return key if factor > 0.0 else f"-{key}"
    return f"{factor:g} x {key}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table, taken where its first column has a key's value.

    Parameters
    ----------
    table : name of its file
    of : the key
    name : of the column
    """

    table: str
    of: str
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """That a key has one of some values, such as "cut.kind is parting"."""

    key: str
    values: tuple[object, ...]

    def __str__(self) -> str:
        """Return the condition as a person reads it."""
        return f"{self.key} is {' or '.join(str(value) for value in self.values)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class DefaultRule:
    """One row of defaults.toml, whose first lines say what its columns mean."""

    key: str
    why: str
    source: str
    value: object = None
    sum: WeightedSum | None = None
    power: int = 1
    at_least: tuple[WeightedSum, ...] = ()
    at_most: tuple[WeightedSum, ...] = ()
    column: Column | None = None
    only_if: Condition | None = None
    halved_if: Condition | None = None
    zero_if_none: WeightedSum | None = None
    words: str = ""

    def __str__(self) -> str:
        """Return the rule as a person reads it, empty for a plain value."""
        if self.column is not None:
            return f"by {self.column.of}"
        if self.sum is None:
            return self.words
        text = str(self.sum) if self.power == 1 else f"({self.sum})^{self.power}"
        lows = [f"at least {bound}" for bound in self.at_least]
        highs = [f"at most {bound}" for bound in self.at_most]
        half = [f"half of it if {self.halved_if}"] if self.halved_if else []
        return ", ".join([text, *lows, *highs, *half])


@cache
def load_default_rules() -> dict[str, DefaultRule]:
    """Return the rule of every key that has one."""
    text = (_FOLDER / "defaults.toml").read_text(encoding="utf-8")
    rules = [_rule(row) for row in tomllib.loads(text)["default"]]
    return {rule.key: rule for rule in rules}


def _rule(row: dict[str, object]) -> DefaultRule:
    if "sum" in row:
        row["sum"] = {"sum": row["sum"], "plus": row.pop("plus", "0 mm")}
    for name in {"sum", "zero_if_none"} & set(row):
        row[name] = WeightedSum(**row[name])  # type: ignore[arg-type]
    for name in {"at_least", "at_most"} & set(row):
        bounds: list[dict[str, Any]] = row[name]  # type: ignore[assignment]
        row[name] = tuple(WeightedSum(**bound) for bound in bounds)
    if "column" in row:
        row["column"] = Column(
            table=str(row.pop("table")),
            of=str(row.pop("of")),
            name=str(row["column"]),
        )
    for name in {"only_if", "halved_if"} & set(row):
        row[name] = _condition(row[name])  # type: ignore[arg-type]
    return DefaultRule(**row)  # type: ignore[arg-type]


def _condition(row: dict[str, object]) -> Condition:
    ((key, value),) = row.items()
    values = value if isinstance(value, list) else [value]
    return Condition(key=key, values=(*values,))


@cache
def load_default_table(name: str) -> tuple[dict[str, Any], ...]:
    """Return the rows of one of the tables that defaults are taken from.

    A row's first column is what it is found by; cells are as a case file would say
    them.
    """
    text = (_FOLDER / f"{name}.toml").read_text(encoding="utf-8")
    (rows,) = tomllib.loads(text).values()
    return tuple(rows)
