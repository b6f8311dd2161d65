import dataclasses

import numpy as np
import pytest

from fea.machining.cut import Cut
from fea.machining.force import cutting_force, validity_notes
from fea.machining.work_material import load_work_materials
from geometry.errors import InputError

STEEL = load_work_materials()["medium_carbon_steel"]
CUT = Cut(feed_mm=0.1, entering_angle_deg=75.0, nose_radius_mm=0.4, rake_deg=0.0)
ANGLES = pytest.mark.parametrize("angle", [30.0, 45.0, 75.0, 90.0, 95.0, 107.0])
NOSE_HEIGHT = 0.4 * (1.0 - np.cos(np.radians(75.0)))


def test_force_points_away_from_work_against_feed_and_down() -> None:
    radial, axial, vertical = cutting_force(STEEL, CUT, 0.5)
    assert radial > 0.0
    assert axial > 0.0
    assert vertical < 0.0
    assert -vertical > axial > radial


def test_many_depths_give_the_rows_of_each_alone() -> None:
    depths = np.array([0.0, 0.05, 0.4, 2.0])
    together = cutting_force(STEEL, CUT, depths)
    alone = [cutting_force(STEEL, CUT, float(depth)) for depth in depths]
    assert together.shape == (4, 3)
    assert together == pytest.approx(np.array(alone), rel=1e-12)
    assert not together[0].any()


@ANGLES
@pytest.mark.parametrize("radius", [0.0, 0.05, 0.1, 0.2, 0.4, 0.8])
def test_tangential_force_grows_with_depth_without_a_jump(
    angle: float, radius: float
) -> None:
    cut = dataclasses.replace(CUT, entering_angle_deg=angle, nose_radius_mm=radius)
    depths = np.linspace(0.0, 1.5, 1501)
    force = cutting_force(STEEL, cut, depths)
    steps = np.diff(force, axis=0)
    assert (-steps[:, 2] > 0.0).all()
    # 1 um of depth: a step stays below what a chip 0.1 mm thick costs on the 0.05 mm
    # of edge (a fresh nose of 0.8 mm radius) that it brings in.
    assert np.abs(steps).max() < STEEL.kc11_mpa * 0.1 ** (1.0 - STEEL.mc) * 0.05


def test_force_does_not_jump_where_the_nose_meets_the_straight_edge() -> None:
    around = NOSE_HEIGHT + np.array([-1e-7, 1e-7])
    below, above = cutting_force(STEEL, CUT, around)
    # 0.2 nm of depth at less than 1 kN/mm.
    assert above == pytest.approx(below, abs=2e-4)


def test_force_depends_smoothly_on_a_vanishing_nose() -> None:
    sharp = cutting_force(STEEL, dataclasses.replace(CUT, nose_radius_mm=0.0), 1.0)
    tiny = cutting_force(STEEL, dataclasses.replace(CUT, nose_radius_mm=1e-5), 1.0)
    # A nose of 0.01 um on 1 mm of depth.
    assert tiny == pytest.approx(sharp, rel=1e-4)


def test_shallow_cuts_push_radially() -> None:
    depths = np.linspace(0.01, NOSE_HEIGHT, 40)
    radial, axial, _ = cutting_force(STEEL, CUT, depths).T
    ratio = radial / axial
    assert (np.diff(ratio) < 0.0).all()
    # At a fortieth of the nose radius nearly all thrust is radial; at full depth the
    # main edge at 75 deg has the say: cot 75 = 0.27.
    assert ratio[0] > 3.0
    deep_radial, deep_axial, _ = cutting_force(STEEL, CUT, 5.0)
    assert 0.27 < deep_radial / deep_axial < 0.4


def test_a_nose_that_leads_pulls_the_tool_in_on_a_sharp_corner() -> None:
    cut = dataclasses.replace(CUT, entering_angle_deg=100.0, nose_radius_mm=0.0)
    assert cutting_force(STEEL, cut, 1.0)[0] < 0.0


def test_rake_factor_is_one_percent_a_degree_on_the_cutting_force() -> None:
    plain = cutting_force(STEEL, CUT, 1.0)
    keen = cutting_force(STEEL, dataclasses.replace(CUT, rake_deg=10.0), 1.0)
    blunt = cutting_force(STEEL, dataclasses.replace(CUT, rake_deg=-6.0), 1.0)
    assert keen[2] / plain[2] == pytest.approx(0.90, rel=1e-12)
    assert blunt[2] / plain[2] == pytest.approx(1.06, rel=1e-12)


def test_a_rake_beyond_the_linear_law_is_refused() -> None:
    odd = dataclasses.replace(STEEL, reference_rake_deg=-30.0)
    with pytest.raises(InputError, match=r"^cut\.rake_deg = 25 deg: .*smaller rake"):
        cutting_force(odd, dataclasses.replace(CUT, rake_deg=25.0), 1.0)


def test_a_usual_cut_needs_no_note() -> None:
    assert validity_notes(CUT, np.array([0.0, 0.5, 1.0])) == ()


def test_notes_name_what_is_outside_of_the_law() -> None:
    thin = validity_notes(CUT, np.array([0.002, 0.005, 1.0]))
    assert len(thin) == 1
    assert thin[0].startswith("Up to 0.005 mm of depth")
    coarse = dataclasses.replace(CUT, feed_mm=1.5, rake_deg=20.0)
    assert [note.split(" ")[0] for note in validity_notes(coarse, np.array([4.0]))] == [
        "From",
        "The",
        "The",
    ]
