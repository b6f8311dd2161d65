"""Rules by which a key that the case file leaves out gets its value."""

import tomllib
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from fea.case.field_kind import read_quantity
from fea.case.unit_registry import LENGTH, STIFFNESS

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
    column: tuple[str, str] | None = None
    only_if: tuple[str, tuple[object, ...]] | None = None
    zero_if_none: WeightedSum | None = None

    def __str__(self) -> str:
        """Return the rule as a person reads it, empty for a plain value."""
        if self.column is not None:
            return f"by {self.column[0]}"
        if self.sum is None:
            return ""
        text = str(self.sum) if self.power == 1 else f"({self.sum})^{self.power}"
        lows = [f"at least {bound}" for bound in self.at_least]
        highs = [f"at most {bound}" for bound in self.at_most]
        return ", ".join([text, *lows, *highs])


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
    if "of" in row:
        row["column"] = (row.pop("of"), row["column"])
    if "only_if" in row:
        ((key, wanted),) = dict(row["only_if"]).items()  # type: ignore[call-overload]
        row["only_if"] = key, tuple(wanted) if isinstance(wanted, list) else (wanted,)
    return DefaultRule(**row)  # type: ignore[arg-type]


@cache
def load_ground_stiffness() -> tuple[dict[str, float], ...]:
    """Return the rows of the ground's table, small machines first.

    Columns centre_height [mm], radial, axial, vertical [N/um].
    """
    text = (_FOLDER / "ground_stiffness.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text)["ground"]
    return tuple(
        {
            name: read_quantity(cell, LENGTH if name == "centre_height" else STIFFNESS)
            for name, cell in row.items()
            if name != "source"
        }
        for row in rows
    )
