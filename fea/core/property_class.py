"""What a screw of a property class bears before it stretches for good, or breaks."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from fea.core.thread import stress_area

_TABLE = Path(__file__).with_name("property_classes.toml")


@dataclass(frozen=True, slots=True, kw_only=True)
class PropertyClass:
    """Strength of screws of a class, over their stress area.

    Parameters
    ----------
    key : as it is stamped on a head
    up_to_mm : largest diameter that the row is for
    tensile_mpa : least tensile strength
    proof_mpa : stress that leaves no lasting stretch
    source : who says so
    """

    key: str
    up_to_mm: float
    tensile_mpa: float
    proof_mpa: float
    source: str


def property_class_keys() -> list[str]:
    """Return the classes that there are, weakest first."""
    return list(dict.fromkeys(row.key for row in _rows()))


def proof_load(key: str, diameter: float) -> float:
    """Pull that a coarse thread [mm] bears without lasting stretch. [N]."""
    return _row(key, diameter).proof_mpa * stress_area(diameter)


def breaking_load(key: str, diameter: float) -> float:
    """Pull at which a coarse thread [mm] may break. [N]."""
    return _row(key, diameter).tensile_mpa * stress_area(diameter)


def _row(key: str, diameter: float) -> PropertyClass:
    return next(row for row in _rows() if row.key == key and diameter <= row.up_to_mm)


@cache
def _rows() -> tuple[PropertyClass, ...]:
    rows = tomllib.loads(_TABLE.read_text(encoding="utf-8"))["property_class"]
    return tuple(PropertyClass(**row) for row in rows)
