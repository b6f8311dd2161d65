import tomllib
from pathlib import Path

import pint
import pytest
from pydantic_core import PydanticCustomError

from fea.case import unit_registry
from fea.case.field_kind import Quantity, Whole, read_quantity
from fea.case.study_measure import MICRON
from fea.case.unit_registry import (
    ANGLE,
    DAMPING,
    FEED,
    FORCE,
    KINDS,
    LENGTH,
    PRESSURE,
    STIFFNESS,
    TORQUE,
    QuantityKind,
)

TABLES = Path(unit_registry.__file__).parent
FACTORS = tomllib.loads((TABLES / "unit_factors.toml").read_text("utf-8"))
USUAL = {row["unit"]: row["one"] for row in FACTORS["into"]}

# Conversion is one multiplication: a few units in the last place.
EXACT = 1e-14


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("16 mm", LENGTH, 16.0),
        ("16mm", LENGTH, 16.0),
        (" 1.6 cm ", LENGTH, 16.0),
        ("0.016 m", LENGTH, 16.0),
        ("5/8 in", LENGTH, 15.875),
        ("4-1/2 in", LENGTH, 114.3),
        ("4 1/2 inches", LENGTH, 114.3),
        (".5in", LENGTH, 12.7),
        ("-3 mm", LENGTH, -3.0),
        ("15 thou", LENGTH, 0.381),
        ("20 um", LENGTH, 0.02),
        ("20 µm", LENGTH, 0.02),
        ("1.5e4 N", FORCE, 15_000.0),
        ("15 kN", FORCE, 15_000.0),
        # 0.45359237 kg by 9.80665 m/s2, both exact by definition.
        ("1000 lbf", FORCE, 4448.2216152605),
        ("45 N m", TORQUE, 45.0),
        ("45 N.m", TORQUE, 45.0),
        ("45 N·m", TORQUE, 45.0),
        ("45 Nm", TORQUE, 45.0),
        ("4500 N cm", TORQUE, 45.0),
        # The pound-force above by 0.3048 m and by an inch.
        ("10 lbf ft", TORQUE, 13.558179483314004),
        ("10 ft-lb", TORQUE, 13.558179483314004),
        ("10 in-lb", TORQUE, 1.1298482902761670),
        ("10 kgf m", TORQUE, 98.0665),
        ("0.5 MPa", PRESSURE, 0.5),
        # lbf over square inch.
        ("1000 psi", PRESSURE, 6.894757293168361),
        ("5 bar", PRESSURE, 0.5),
        ("60 deg", ANGLE, 60.0),
        ("60°", ANGLE, 60.0),
        ("3.141592653589793 rad", ANGLE, 180.0),
        ("60 N/um", STIFFNESS, 60.0),
        ("60000 N/mm", STIFFNESS, 60.0),
        ("0.1 mm/rev", FEED, 0.1),
        ("0.004 in/rev", FEED, 0.1016),
        ("4 thou/rev", FEED, 0.1016),
        ("4 thou", FEED, 0.1016),
        ("0.1 mm", FEED, 0.1),
    ],
)
def test_a_quantity_is_read_in_the_unit_of_its_kind(
    text: str, kind: QuantityKind, expected: float
) -> None:
    assert read_quantity(text, kind) == pytest.approx(expected, rel=EXACT)


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (16, "with its unit, as text"),
        (16.0, "with its unit, as text"),
        (float("nan"), "with its unit, as text"),
        (True, "with its unit, as text"),
        ([], "with its unit, as text"),
        ("16", "has no unit"),
        ("30 N", "is a force, but a length is wanted"),
        ("30 deg", "is an angle, but a length is wanted"),
        ("30 mm^2", "is something else, but a length is wanted"),
        ("0.1 mm/rev", "is a feed, but a length is wanted"),
        ("3 furlong", "has the unit 'furlong', which is not known"),
        ("nan mm", "a number with a decimal point, and its unit"),
        ("inf mm", "a number with a decimal point, and its unit"),
        ("1e999 mm", "must be a finite number"),
        ("16,5 mm", "a number with a decimal point, and its unit"),
        ("mm", "a number with a decimal point, and its unit"),
        ("", "a number with a decimal point, and its unit"),
        ("1/0 in", "divides by zero"),
        ("1 __import__('os')", "is not known"),
        ("1 mm**9**9**9", "mm"),
    ],
)
def test_what_is_no_length_is_refused_with_the_reason(raw: object, said: str) -> None:
    with pytest.raises(PydanticCustomError) as caught:
        read_quantity(raw, LENGTH)
    assert said in str(caught.value)
    if "zero" not in said and "finite" not in said:
        assert '"16 mm"' in str(caught.value), "an example of how to write it"


def test_every_example_of_a_kind_can_be_read() -> None:
    read = [read_quantity(text, kind) for kind in KINDS for text in kind.examples]
    assert len(read) >= 2 * len(KINDS)
    assert all(value > 0.0 for value in read)


def test_the_usual_factors_are_those_of_the_unit_library() -> None:
    registry = pint.UnitRegistry((TABLES / "units.txt").read_text("utf-8").splitlines())
    for target, factors in USUAL.items():
        for unit, factor in factors.items():
            text = unit.replace("-", "_").replace("%", "percent")
            expected = float(registry.Quantity(1.0, text).to(target).magnitude)
            assert factor == pytest.approx(expected, rel=EXACT), (unit, target)


def test_every_unit_that_is_offered_or_shown_has_its_factor_at_hand() -> None:
    for kind in (*KINDS, DAMPING, MICRON):
        listed = [
            text.strip() for text in kind.known.removesuffix(", or a length").split(",")
        ]
        for unit in {*listed, kind.inch_unit} - {kind.unit}:
            assert unit in USUAL[kind.unit], (unit, kind.noun)


def test_limits_are_allowed_and_named_in_both_units() -> None:
    length = Quantity(LENGTH, 12.7, 254.0)
    assert length.read("254 mm") == 254.0
    assert length.read("12.7 mm") == 12.7
    with pytest.raises(PydanticCustomError) as caught:
        length.read("3 m")
    assert "12.7 to 254 mm (0.5 to 10 in)" in str(caught.value)


@pytest.mark.parametrize("raw", [2.0, "2", True, 0, 9, None])
def test_a_count_is_a_whole_number_within_its_limits(raw: object) -> None:
    count = Whole(1, 8)
    assert count.read(8) == 8
    with pytest.raises(PydanticCustomError, match="whole number from 1 to 8"):
        count.read(raw)
