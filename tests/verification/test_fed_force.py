"""Force in facing, grooving and parting against Kienzle's law worked by hand.

Fc = kc1.1 b h^(1-mc), and as much thrust as the row's ratio at 0.2 mm says times
(h/0.2 mm)^-q, normal to the edge; constants of the rows of the work materials (ISO
513 / VDI 3323 for kc1.1 and mc). Which way each part points follows from the frame: the
work pushes the tool back against its feed, out of the cut, and down.
"""

from math import cos, radians, sin

import pytest

from fea.machining.cut import Cut
from fea.machining.fed import Fed, fed_force, plunging_cut
from fea.machining.work_material import load_work_materials

STEEL = load_work_materials()["low_carbon_steel"]
ROUND_OFF = 1e-12


def thrust_ratio(thickness: float) -> float:
    law = STEEL.thrust
    return float(law.ratio * (thickness / 0.2) ** -law.thin_chip_exponent)


def neutral(feed: float, entering_angle: float, nose: float = 0.0) -> Cut:
    """At the rake for which the row's constants hold."""
    return Cut(
        feed_mm=feed,
        entering_angle_deg=entering_angle,
        nose_radius_mm=nose,
        rake_deg=STEEL.reference_rake_deg,
    )


def test_a_grooving_tool_is_pushed_straight_out_and_down_by_its_width() -> None:
    # 1350 N/mm² x 3 mm x 0.05^0.79 mm = 4050 x 0.093792 = 379.9 N, printed to 0.1 N.
    assert (STEEL.kc11_mpa, STEEL.mc) == (1350.0, 0.21)
    cut = plunging_cut(neutral(0.05, 95.0, nose=0.4))
    radial, axial, vertical = fed_force(Fed.IN, STEEL, cut, 3.0)
    assert -vertical == pytest.approx(379.9, abs=0.06)
    exact = 1350.0 * 3.0 * 0.05**0.79
    assert -vertical == pytest.approx(exact, rel=ROUND_OFF)
    assert radial == pytest.approx(exact * thrust_ratio(0.05), rel=ROUND_OFF)
    # The edge lies along the axis: nothing pushes it to either side.
    assert abs(axial) < ROUND_OFF * exact


@pytest.mark.parametrize("kappa", [45.0, 75.0, 90.0])
def test_a_facing_tool_is_pushed_off_the_face_and_back_along_its_feed(
    kappa: float,
) -> None:
    force = fed_force(Fed.ACROSS, STEEL, neutral(0.2, kappa), 1.5)
    thickness = 0.2 * sin(radians(kappa))
    exact = 1350.0 * (1.5 / sin(radians(kappa))) * thickness**0.79
    thrust = exact * thrust_ratio(thickness)
    assert force == pytest.approx(
        [thrust * sin(radians(kappa)), thrust * cos(radians(kappa)), -exact],
        rel=1e-9,
        abs=ROUND_OFF * exact,
    )


def test_a_straight_cut_takes_the_same_force_however_it_is_fed() -> None:
    cut = neutral(0.1, 90.0)
    turned = fed_force(Fed.ALONG, STEEL, cut, 2.0)
    faced = fed_force(Fed.ACROSS, STEEL, cut, 2.0)
    plunged = fed_force(Fed.IN, STEEL, plunging_cut(cut), 2.0)
    # The same numbers, thrust against the feed: axial in turning, else radial.
    assert turned[[1, 0, 2]].tolist() == faced.tolist() == plunged.tolist()
    assert turned[1] > 0.0 > turned[2]
