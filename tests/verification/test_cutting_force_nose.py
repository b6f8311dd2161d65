"""Nose radius: equivalent chip and direction of the thrust against two old methods.

Woxén (1932): equivalent chip thickness = ap f / L with L the engaged edge, of which
the trailing side counts f/2. Colwell, Trans. ASME 76 (1954) 199: the thrust stands at
right angles to the chord between the ends of the engaged edge. Formulas from memory,
values computed apart from this code.
"""

import dataclasses

import numpy as np
import pytest

from fea.machining.chip import chip_elements, ridge_area
from fea.machining.cut import Cut
from fea.machining.force import cutting_force, mean_thickness_mm
from fea.machining.work_material import load_work_materials

STEEL = load_work_materials()["medium_carbon_steel"]
CASES = pytest.mark.parametrize(
    ("depth", "feed", "radius", "kappa", "length", "equivalent", "colwell"),
    [
        (2.0, 0.2, 0.8, 90.0, 2.5566, 0.15646, 65.70),
        (1.0, 0.1, 0.4, 90.0, 1.2783, 0.07823, 65.70),
        (2.0, 0.2, 0.4, 75.0, 2.3872, 0.16756, 64.62),
        (0.3, 0.1, 0.8, 90.0, 0.7665, 0.03914, 23.87),
    ],
)


def tool(feed: float, radius: float, kappa: float) -> Cut:
    return Cut(
        feed_mm=feed, entering_angle_deg=kappa, nose_radius_mm=radius, rake_deg=0.0
    )


@CASES
def test_edge_length_and_mean_thickness_are_woxens(
    depth: float,
    feed: float,
    radius: float,
    kappa: float,
    length: float,
    equivalent: float,
    colwell: float,
) -> None:
    cut = tool(feed, radius, kappa)
    found = chip_elements(cut, depth).width_mm.sum()
    # f/2 is the chord of a trailing arc of r asin(f/2r): f³/48r² longer, at most 1 um;
    # printed to 0.05 um of mm.
    assert found == pytest.approx(length, abs=feed**3 / (40.0 * radius**2) + 6e-5)
    # Woxén counts the ridge as cut; we do not.
    with_ridge = mean_thickness_mm(cut, depth)[0] + ridge_area(cut) / found
    assert with_ridge == pytest.approx(equivalent, rel=1e-3)


@CASES
def test_a_thrust_that_is_even_along_the_edge_points_as_colwell_says(
    depth: float,
    feed: float,
    radius: float,
    kappa: float,
    length: float,
    equivalent: float,
    colwell: float,
) -> None:
    chip = chip_elements(tool(feed, radius, kappa), depth)
    radial = (chip.width_mm * np.cos(chip.normal_angle)).sum()
    axial = (chip.width_mm * np.sin(chip.normal_angle)).sum()
    # The integral of the normal along a curve is at right angles to its chord: exact,
    # printed to 0.01 deg.
    assert np.degrees(np.arctan2(axial, radial)) == pytest.approx(colwell, abs=0.006)


@CASES
def test_kienzles_thrust_leans_further_to_the_feed_than_colwells(
    depth: float,
    feed: float,
    radius: float,
    kappa: float,
    length: float,
    equivalent: float,
    colwell: float,
) -> None:
    # Thick chip pushes more than thin chip, and it is thick on the main edge: between
    # Colwell's even thrust and one in proportion to the chip's area.
    cut = tool(feed, radius, kappa)
    radial, axial, _ = cutting_force(STEEL, cut, depth)
    chip = chip_elements(cut, depth)
    area_radial = (chip.area_mm2 * np.cos(chip.normal_angle)).sum()
    area_axial = (chip.area_mm2 * np.sin(chip.normal_angle)).sum()
    proportional = np.degrees(np.arctan2(area_axial, area_radial))
    assert colwell < np.degrees(np.arctan2(axial, radial)) < proportional


@CASES
def test_force_is_nearly_that_of_the_equivalent_chip(
    depth: float,
    feed: float,
    radius: float,
    kappa: float,
    length: float,
    equivalent: float,
    colwell: float,
) -> None:
    # One even chip of the same area and length. h^(1-mc) is concave, so an uneven one
    # takes less; with mc = 0.22 and thicknesses from 0 to feed by a few per cent.
    even = STEEL.kc11_mpa * length * equivalent ** (1.0 - STEEL.mc)
    force = -cutting_force(STEEL, tool(feed, radius, kappa), depth)[2]
    assert 0.95 * even < force < even


def test_flat_specific_force_gives_force_in_proportion_to_the_area() -> None:
    flat = dataclasses.replace(STEEL, kc11_mpa=2000.0, mc=0.0)
    cut = tool(0.2, 0.8, 75.0)
    area = 1.5 * 0.2 - ridge_area(cut)
    force = cutting_force(flat, cut, 1.5)
    assert -force[2] == pytest.approx(2000.0 * area, rel=1e-6)
