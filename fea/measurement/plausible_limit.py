"""What home-shop measurements on a small lathe come to, as a table says."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

_TABLE = Path(__file__).with_name("plausible.toml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """What a quantity lies between on a small lathe.

    Parameters
    ----------
    low, high : in `unit`
    unit : as in messages
    source : who says so
    """

    low: float
    high: float
    unit: str
    source: str


@cache
def load_limits() -> dict[str, Limit]:
    """Return the limits by name."""
    rows = tomllib.loads(_TABLE.read_text(encoding="utf-8"))["limit"]
    return {row.pop("name"): Limit(**row) for row in rows}
