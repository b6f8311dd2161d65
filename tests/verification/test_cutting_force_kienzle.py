"""Tangential force against worked values of Kienzle's law.

Constants kc1.1, mc: tool-maker handbook table after ISO 513 / VDI 3323. The grid was
computed apart from this code by Fc = kc1.1 b h^(1-mc), h = f sin(kappa),
b = ap/sin(kappa), and is printed to 0.1 N: hence a tolerance of 0.06 N.
"""

import dataclasses

import numpy as np
import pytest

from fea.machining.cut import Cut
from fea.machining.force import cutting_force
from fea.machining.work_material import load_work_materials

MATERIALS = load_work_materials()
PRINTED_TO = 0.06


def sharp(feed: float, entering_angle: float) -> Cut:
    return Cut(
        feed_mm=feed,
        entering_angle_deg=entering_angle,
        nose_radius_mm=0.0,
        rake_deg=0.0,
    )


@pytest.mark.parametrize(
    ("key", "kc11", "mc", "at_90", "at_45"),
    [
        ("low_carbon_steel", 1350, 0.21, (218.9, 757.1, 1564.5), 814.3),
        ("medium_carbon_steel", 1500, 0.22, (248.9, 854.9, 1759.4), 922.7),
        ("alloy_steel_hardened", 1725, 0.24, (299.8, 1015.3, 2072.6), 1103.4),
        ("austenitic_stainless", 2150, 0.20, (340.8, 1186.6, 2461.8), 1271.7),
        ("grey_iron", 1150, 0.20, (182.3, 634.7, 1316.8), 680.2),
        ("aluminium_wrought", 800, 0.25, (142.3, 478.5, 972.9), 521.8),
        ("brass", 700, 0.27, (130.3, 432.4, 872.0), 474.8),
    ],
)
def test_sharp_corner_gives_the_grid_of_worked_values(
    key: str, kc11: float, mc: float, at_90: tuple[float, ...], at_45: float
) -> None:
    material = MATERIALS[key]
    assert (material.kc11_mpa, material.mc) == (kc11, mc)
    for size, expected in zip((1, 2, 3), at_90, strict=True):
        force = cutting_force(material, sharp(0.1 * size, 90.0), float(size))
        assert -force[2] == pytest.approx(expected, abs=PRINTED_TO)
    force = cutting_force(material, sharp(0.2, 45.0), 2.0)
    assert -force[2] == pytest.approx(at_45, abs=PRINTED_TO)


def test_mild_steel_example_of_power_gives_1860_newton() -> None:
    # Tool-maker's worked example: specific force 3100 N/mm² at a feed of 0.2 mm, depth
    # 3 mm, 120 m/min, efficiency 0.8: power 4.65 kW, so 4650 * 0.8 * 60/120 = 1860 N.
    steel = MATERIALS["low_carbon_steel"]
    steel = dataclasses.replace(steel, kc11_mpa=3100.0 * 0.2**steel.mc)
    force = cutting_force(steel, sharp(0.2, 90.0), 3.0)
    assert -force[2] == pytest.approx(4650.0 * 0.8 * 60.0 / 120.0, rel=1e-9)


@pytest.mark.parametrize("nose_radius", [0.0, 0.8])
def test_stainless_example_of_specific_energy_gives_500_newton(
    nose_radius: float,
) -> None:
    # Kalpakjian, Manufacturing Engineering and Technology, turning example: 12.5 to
    # 12.0 mm, 200 mm/min at 400 rpm, 4 W s/mm³ = 4000 N/mm² whatever the thickness.
    # Power 128.3 W over 0.2565 m/s: 500 N. A nose changes that by its ridge only:
    # f³/24r = 0.0065 mm² of 0.125 mm².
    steel = dataclasses.replace(
        MATERIALS["austenitic_stainless"], kc11_mpa=4000.0, mc=0.0
    )
    cut = dataclasses.replace(sharp(200.0 / 400.0, 90.0), nose_radius_mm=nose_radius)
    force = cutting_force(steel, cut, 0.25)
    assert -force[2] == pytest.approx(500.0, rel=1e-9 if nose_radius == 0.0 else 0.06)


def test_thrust_splits_by_the_entering_angle_alone() -> None:
    # Any text: Ff = Ft sin(kappa), Fp = Ft cos(kappa) on a single straight edge. With
    # the numbers of a textbook exercise (Bhattacharyya's type: kappa 75 deg, feed force
    # 800 N) the thrust is 828.2 N and the passive force 214 N (printed to 1 N).
    radial, axial, _ = cutting_force(
        MATERIALS["medium_carbon_steel"], sharp(0.32, 75.0), 4.0
    )
    scale = 800.0 / axial
    assert scale * np.hypot(radial, axial) == pytest.approx(828.2, abs=0.06)
    assert scale * radial == pytest.approx(214.0, abs=0.5)
