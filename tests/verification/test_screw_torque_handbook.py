"""Torque and force of a screw, against textbooks and standards.

- Power screw: Shigley, Mechanical Engineering Design, example 8-1 (from memory, and
  recomputed from its equations 8-1 to 8-6).
- Torque coefficient of metric screws: VDI 2230-1's formula after Motosh for hexagons of
  16, 18, 24 mm over holes of 11, 13.5, 17.5 mm (recomputed by hand).
- Preload of 75 % of proof and its torque at K = 0.2: ISO 898-1 proof stresses 580, 600
  (8.8 to 16 mm, above) and 830 MPa (10.9).
"""

from math import pi

import pytest

from fea.core.lubrication import Friction
from fea.core.property_class import proof_load
from fea.core.screw_torque import (
    Screw,
    is_self_holding,
    lowering_torque,
    nut_screw,
    raising_torque,
    torque_by_coefficient,
    torque_coefficient,
)
from fea.core.thread import stress_area

# d 32 mm, pitch 4 mm, double start: mean diameter 30, lead 8; collar 40 mm; 6.4 kN.
POWER_SCREW = Screw(
    diameter=32.0,
    lead=8.0,
    thread_diameter=30.0,
    bearing_diameter=40.0,
    half_angle_deg=0.0,
)
LOAD_N = 6400.0
OF_EXAMPLE = Friction(thread=0.08, bearing=0.08, face=0.08)
USUAL_SHARE = 0.75
USUAL_COEFFICIENT = 0.2

# Half a unit of the last printed figure.
FOUR_FIGURES = 5e-4
THREE_FIGURES = 2e-3


def even(friction: float) -> Friction:
    return Friction(thread=friction, bearing=friction, face=friction)


def test_the_power_screw_of_the_textbook_is_raised_and_lowered() -> None:
    raised = raising_torque(POWER_SCREW, LOAD_N, OF_EXAMPLE) / 1000.0
    lowered = lowering_torque(POWER_SCREW, LOAD_N, OF_EXAMPLE) / 1000.0
    assert raised == pytest.approx(26.18, rel=FOUR_FIGURES)
    assert lowered == pytest.approx(9.77, rel=FOUR_FIGURES)


def test_the_power_screw_of_the_textbook_wastes_two_thirds() -> None:
    # Efficiency is what a turn puts into the load over the work of the torque.
    torque = raising_torque(POWER_SCREW, LOAD_N, OF_EXAMPLE)
    useful = LOAD_N * POWER_SCREW.lead / (2.0 * pi * torque)
    assert useful == pytest.approx(0.311, rel=THREE_FIGURES)


def test_the_textbooks_screw_is_held_by_its_collar_alone() -> None:
    # pi f d = 7.54 mm is less than the lead of 8 mm, though T_L is positive.
    assert not is_self_holding(POWER_SCREW, OF_EXAMPLE)
    # pi f d passes the lead at f = 0.0849.
    assert is_self_holding(POWER_SCREW, even(0.0850))
    assert not is_self_holding(POWER_SCREW, even(0.0848))


@pytest.mark.parametrize(
    ("diameter", "coefficients"),
    [
        (10.0, (0.1435, 0.1674, 0.1913, 0.2631)),
        (12.0, (0.1411, 0.1647, 0.1883, 0.2590)),
        (16.0, (0.1378, 0.1614, 0.1849, 0.2557)),
    ],
)
def test_the_full_thread_formula_gives_the_known_coefficients(
    diameter: float, coefficients: tuple[float, ...]
) -> None:
    frictions = (0.10, 0.12, 0.14, 0.20)
    for friction, expected in zip(frictions, coefficients, strict=True):
        found = torque_coefficient(nut_screw(diameter), even(friction))
        assert found == pytest.approx(expected, rel=FOUR_FIGURES)


@pytest.mark.parametrize(
    ("diameter", "area"),
    [(8.0, 36.6), (10.0, 58.0), (12.0, 84.3), (16.0, 156.7), (20.0, 244.8)],
)
def test_stress_areas_are_the_standards(diameter: float, area: float) -> None:
    assert stress_area(diameter) == pytest.approx(area, rel=THREE_FIGURES)


@pytest.mark.parametrize(
    ("key", "diameter", "preload_kn", "torque_n_m"),
    [
        ("8.8", 8.0, 15.9, 25.5),
        ("8.8", 10.0, 25.2, 50.5),
        ("8.8", 12.0, 36.7, 88.0),
        ("8.8", 16.0, 68.2, 218.0),
        ("8.8", 20.0, 110.2, 441.0),
        ("10.9", 8.0, 22.8, 36.5),
        ("10.9", 12.0, 52.5, 125.9),
        ("10.9", 20.0, 152.4, 610.0),
    ],
)
def test_three_quarters_of_proof_and_its_torque_are_the_tables(
    key: str, diameter: float, preload_kn: float, torque_n_m: float
) -> None:
    preload = USUAL_SHARE * proof_load(key, diameter)
    torque = torque_by_coefficient(preload, diameter, USUAL_COEFFICIENT)
    # The table rounds to three figures, 15.9 at worst.
    assert preload / 1000.0 == pytest.approx(preload_kn, rel=3.2e-3)
    assert torque / 1000.0 == pytest.approx(torque_n_m, rel=THREE_FIGURES)
