"""The tables of screws: lubrication, property classes, heads and points."""

import pytest

from fea.core.lubrication import load_lubrications
from fea.core.property_class import breaking_load, proof_load, property_class_keys
from fea.core.screw_torque import (
    force_by_coefficient,
    nut_screw,
    point_screw,
    raised_force,
    raising_torque,
    tightened_force,
    tightening_torque,
    torque_by_coefficient,
)
from fea.core.thread import stress_area

SIZES_MM = (2.5, 6.0, 9.525, 16.0, 40.0)


def test_each_lubrications_friction_lies_in_its_band() -> None:
    oils = load_lubrications()
    assert {"dry", "oiled"} <= set(oils)
    for oil in oils.values():
        for name in ("thread", "bearing", "face"):
            low, middle, high = (
                getattr(friction, name)
                for friction in (oil.slippery, oil.friction, oil.sticky)
            )
            assert 0.0 < low < middle < high < 0.5
        assert oil.source


def test_oil_rubs_less_than_nothing_and_paste_less_than_oil() -> None:
    oils = load_lubrications()
    keys = ("dry", "as received", "oiled", "paste")
    frictions = [oils[key].friction.thread for key in keys]
    assert frictions == sorted(frictions, reverse=True)


@pytest.mark.parametrize("diameter", SIZES_MM)
def test_a_class_bears_less_before_it_stretches_than_before_it_breaks(
    diameter: float,
) -> None:
    proofs = [proof_load(key, diameter) for key in property_class_keys()]
    breaks = [breaking_load(key, diameter) for key in property_class_keys()]
    assert proofs == sorted(proofs)
    assert breaks == sorted(breaks)
    assert all(proof < most for proof, most in zip(proofs, breaks, strict=True))


def test_class_8_8_is_a_little_stronger_above_16_mm() -> None:
    assert proof_load("8.8", 16.0) == pytest.approx(580.0 * stress_area(16.0))
    assert proof_load("8.8", 16.1) == pytest.approx(600.0 * stress_area(16.1))


def test_a_class_is_named_by_its_strength() -> None:
    # ISO 898-1: the first figure is a hundredth of the nominal tensile strength.
    for key in property_class_keys():
        nominal = 100.0 * float(key.split(".")[0])
        least = breaking_load(key, 12.0) / stress_area(12.0)
        # The standard's least strength is up to 40 MPa above the nominal one.
        assert least == pytest.approx(nominal, abs=40.1), key
        assert least > nominal - 1e-9, key


@pytest.mark.parametrize("diameter", SIZES_MM)
def test_a_nut_rubs_outside_its_thread_and_a_point_inside(diameter: float) -> None:
    nut, point = nut_screw(diameter), point_screw(diameter)
    assert nut.bearing_diameter > diameter > point.bearing_diameter > 0.0
    assert nut.thread_diameter == point.thread_diameter < diameter
    assert nut.lead == point.lead > 0.0


@pytest.mark.parametrize("diameter", SIZES_MM)
def test_torque_and_force_follow_from_each_other(diameter: float) -> None:
    friction, screw = load_lubrications()["oiled"].friction, nut_screw(diameter)
    there = (tightening_torque, raising_torque)
    for back, torque in zip((tightened_force, raised_force), there, strict=True):
        assert back(screw, torque(screw, 7000.0, friction), friction) == pytest.approx(
            7000.0
        )
    turned = torque_by_coefficient(7000.0, diameter, 0.18)
    assert force_by_coefficient(turned, diameter, 0.18) == pytest.approx(7000.0)
