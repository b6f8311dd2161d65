"""Limits of sizes by ISO 286, as far as the shop sheet asks for them."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from geometry.units import MM_PER_UM

_TABLE = Path(__file__).with_name("iso_fits.toml")

# Holes and shafts that go together: both begin at the nominal size.
HOLE, SHAFT = "H", "h"
LOCATING, CLEAR = 7, 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """How far a size may be off.

    Parameters
    ----------
    name : of the tolerance, as "H7"
    nominal : [mm]
    lower, upper : what may be added to the nominal size [mm]
    """

    name: str
    nominal: float
    lower: float
    upper: float

    @property
    def ends(self) -> tuple[float, float]:
        """Smallest and largest size. [mm]."""
        return self.nominal + self.lower, self.nominal + self.upper


def hole(nominal: float, grade: int) -> Limits:
    """Return the limits of a hole or of any inner size; H begins at the nominal."""
    width = _tolerance(nominal, grade)
    return Limits(name=f"{HOLE}{grade}", nominal=nominal, lower=0.0, upper=width)


def shaft(nominal: float, grade: int) -> Limits:
    """Return the limits of a shaft or of any outer size; h ends at the nominal."""
    width = _tolerance(nominal, grade)
    return Limits(name=f"{SHAFT}{grade}", nominal=nominal, lower=-width, upper=0.0)


def _tolerance(nominal: float, grade: int) -> float:
    """Width of a tolerance; sizes beyond the table take its last row. [mm]."""
    rows = _grades()
    row = next((row for row in rows if nominal <= row["up_to"]), rows[-1])
    return float(row[f"it{grade}"]) * MM_PER_UM


@cache
def _grades() -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = tomllib.loads(_TABLE.read_text(encoding="utf-8"))[
        "grade"
    ]
    return sorted(rows, key=lambda row: row["up_to"])
