"""Friction of screws and plain faces, by what is between them."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

_TABLE = Path(__file__).with_name("lubrication.toml")

Band = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Friction:
    """Coulomb's coefficients where a screw is turned and what it drives slides. [-].

    Parameters
    ----------
    thread : in the thread
    bearing : under nut, head or point
    face : of plain faces, as a wedge's
    """

    thread: float
    bearing: float
    face: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lubrication:
    """What is between the faces, and what it makes of their friction.

    Parameters
    ----------
    key : the word a case file uses
    name : in words
    friction : to be expected
    slippery, sticky : the least and the most friction, 5 and 95 %
    torque_coefficient : K of T = K F d, as handbooks give it [-]
    coefficient_band : K, 5 to 95 % [-]
    source : who says so
    """

    key: str
    name: str
    friction: Friction
    slippery: Friction
    sticky: Friction
    torque_coefficient: float
    coefficient_band: Band
    source: str


@cache
def load_lubrications() -> MappingProxyType[str, Lubrication]:
    """Return every lubrication under its key."""
    rows = tomllib.loads(_TABLE.read_text(encoding="utf-8"))["lubrication"]
    return MappingProxyType({row["key"]: _lubrication(**row) for row in rows})


def _lubrication(
    *,
    thread_friction: float,
    bearing_friction: float,
    face_friction: float,
    spread: dict[str, list[float]],
    **plain: object,
) -> Lubrication:
    least, most = spread["friction"]
    low, high = spread["torque_coefficient"]
    return Lubrication(
        friction=Friction(
            thread=thread_friction, bearing=bearing_friction, face=face_friction
        ),
        slippery=Friction(thread=least, bearing=least, face=least),
        sticky=Friction(thread=most, bearing=most, face=most),
        coefficient_band=(low, high),
        **plain,  # type: ignore[arg-type]
    )
