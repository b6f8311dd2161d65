"""The units that case and record files may use, and conversion between them.

This is the only module that touches the unit library, and it imports it for the first
unit whose factor is not in `unit_factors.toml`.
"""

import re
import sys
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any, cast

if TYPE_CHECKING:
    from pint import UnitRegistry

# Names, each with at most one small power, multiplied and divided; everything else is
# kept away from the library's parser, which would work out a tower of powers for hours.
_NAME = r"[A-Za-zµμ°%_]+(?:(?:\*\*|\^)[1-9])?"
_UNIT_TEXT = re.compile(rf"{_NAME}(?: ?[*/ ] ?{_NAME}){{0,5}}")

# A point or a hyphen between two names, as in "N.m" or "ft-lb".
_JOINER = re.compile(r"(?<=[A-Za-z])[.·⋅-](?=[A-Za-z])")

_DEFINITIONS = Path(__file__).with_name("units.txt")
_FACTORS = Path(__file__).with_name("unit_factors.toml")


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityKind:
    """What a quantity measures.

    Parameters
    ----------
    noun : as it stands in a message, with its article
    unit : the unit that the attributes of a case hold
    inch_unit : the unit shown to someone who works in inches
    examples : how a value may be written
    known : the units that are offered when one is not known
    also_read : another unit whose dimension is accepted and means the same number
    """

    noun: str
    unit: str
    inch_unit: str
    examples: tuple[str, ...]
    known: str
    also_read: str | None = None


LENGTH = QuantityKind(
    noun="a length",
    unit="mm",
    inch_unit="in",
    examples=("16 mm", "5/8 in", "10 thou"),
    known="mm, cm, m, um, in, ft, thou",
)
FORCE = QuantityKind(
    noun="a force",
    unit="N",
    inch_unit="lbf",
    examples=("15 kN", "3400 lbf"),
    known="N, kN, lbf, kgf",
)
TORQUE = QuantityKind(
    noun="a torque",
    unit="N m",
    inch_unit="lbf ft",
    examples=("45 N m", "33 lbf ft"),
    known="N m, N cm, kgf cm, lbf ft, lbf in, ft-lb, in-lb",
)
PRESSURE = QuantityKind(
    noun="a pressure",
    unit="MPa",
    inch_unit="psi",
    examples=("0.5 MPa", "70 psi"),
    known="MPa, kPa, GPa, bar, psi, ksi",
)
ANGLE = QuantityKind(
    noun="an angle",
    unit="deg",
    inch_unit="deg",
    examples=("60 deg", "0.5 rad"),
    known="deg, rad",
)
STIFFNESS = QuantityKind(
    noun="a stiffness",
    unit="N/um",
    inch_unit="lbf/thou",
    examples=("60 N/um", "340000 lbf/in"),
    known="N/um, kN/mm, N/mm, lbf/in, lbf/thou",
)
FEED = QuantityKind(
    noun="a feed",
    unit="mm/rev",
    inch_unit="thou/rev",
    examples=("0.1 mm/rev", "0.004 in/rev", "4 thou"),
    known="mm/rev, in/rev, thou/rev, or a length",
    also_read="mm",
)
SPINDLE_SPEED = QuantityKind(
    noun="a spindle speed",
    unit="rev/min",
    inch_unit="rev/min",
    examples=("355 rev/min", "355 rpm"),
    known="rev/min, rpm",
)
CUTTING_SPEED = QuantityKind(
    noun="a cutting speed",
    unit="m/min",
    inch_unit="ft/min",
    examples=("30 m/min", "100 ft/min"),
    known="m/min, ft/min",
)
TILTING = QuantityKind(
    noun="a stiffness against tilting",
    unit="kN m/rad",
    inch_unit="lbf ft/rad",
    examples=("200 kN m/rad", "150000 lbf ft/rad"),
    known="kN m/rad, N m/rad, lbf ft/rad",
)
MASS = QuantityKind(
    noun="a mass",
    unit="kg",
    inch_unit="lb",
    examples=("1.2 kg", "3 lb"),
    known="kg, lb",
)
FREQUENCY = QuantityKind(
    noun="a frequency",
    unit="Hz",
    inch_unit="Hz",
    examples=("250 Hz",),
    known="Hz, kHz",
)
DAMPING = QuantityKind(
    noun="a share of critical damping",
    unit="fraction",
    inch_unit="fraction",
    examples=("3 %", "0.03 fraction"),
    known="%, fraction",
)
TIME = QuantityKind(
    noun="a time", unit="s", inch_unit="s", examples=("0.1 s", "20 ms"), known="s, ms"
)
RATIO = QuantityKind(noun="a ratio", unit="", inch_unit="", examples=(), known="")
SHARE = QuantityKind(noun="a share", unit="%", inch_unit="%", examples=(), known="")
KINDS = (
    LENGTH,
    FORCE,
    TORQUE,
    PRESSURE,
    ANGLE,
    STIFFNESS,
    FEED,
    SPINDLE_SPEED,
    CUTTING_SPEED,
    TILTING,
    MASS,
    FREQUENCY,
    TIME,
)


class UnknownUnitError(ValueError):
    """A unit that is not in the list."""


class WrongDimensionError(ValueError):
    """A known unit that measures something else; its text says what."""


@cache
def _library() -> ModuleType:
    """Import the unit library, which imports Dask too wherever it finds that."""
    modules = cast("dict[str, ModuleType | None]", sys.modules)
    hidden = "dask" not in modules
    if hidden:
        modules["dask"] = None
    try:
        import pint
    finally:
        if hidden:
            del modules["dask"]
    return pint


@cache
def _registry() -> "UnitRegistry[Any]":
    definitions = _DEFINITIONS.read_text(encoding="utf-8").splitlines()
    return cast("UnitRegistry[Any]", _library().UnitRegistry(definitions))


@cache
def unit_factor(unit: str, kind: QuantityKind) -> float:
    """Return what one `unit` is in the kind's own unit.

    Raises
    ------
    UnknownUnitError, WrongDimensionError
    """
    wanted = (kind.unit,) if kind.also_read is None else (kind.unit, kind.also_read)
    for target in wanted:
        factor = _conversion(unit, target)
        if factor is not None:
            return factor
    raise WrongDimensionError(_what_it_measures(unit))


@cache
def _usual_factors() -> dict[str, dict[str, float]]:
    """Return the factors of the usual units, by the unit they lead to."""
    table = tomllib.loads(_FACTORS.read_text(encoding="utf-8"))
    return {row["unit"]: row["one"] for row in table["into"]}


def _conversion(unit: str, target: str) -> float | None:
    """Return the factor from unit to target, None where dimensions differ."""
    if unit == target:
        return 1.0
    usual = _usual_factors().get(target, {})
    return usual[unit] if unit in usual else _library_factor(unit, target)


def _library_factor(unit: str, target: str) -> float | None:
    errors = _library().errors
    plain = _JOINER.sub("_", unit).replace("%", "percent")
    if _UNIT_TEXT.fullmatch(plain) is None:
        raise UnknownUnitError(unit)
    registry = _registry()
    try:
        parsed = registry.parse_units(plain)
    except (
        errors.UndefinedUnitError,
        errors.DefinitionSyntaxError,
        ValueError,
        TypeError,
    ) as error:
        raise UnknownUnitError(unit) from error
    try:
        return float(registry.Quantity(1.0, parsed).to(target).magnitude)
    except errors.DimensionalityError:
        return None


def _what_it_measures(unit: str) -> str:
    """Return "a force" for "kN"; "something else" where the trade has no word."""
    for kind in KINDS:
        if _conversion(unit, kind.unit) is not None:
            return kind.noun
    return "something else"
