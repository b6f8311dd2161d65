import numpy as np
import pytest

from fea.machining.chip import chip_elements, ridge_area
from fea.machining.cut import Cut
from geometry.errors import InputError

DEPTHS = np.array([0.001, 0.02, 0.1, 0.3, 0.55, 1.0, 3.0])


def cut(feed: float, angle: float, radius: float) -> Cut:
    return Cut(
        feed_mm=feed, entering_angle_deg=angle, nose_radius_mm=radius, rake_deg=0.0
    )


def profile(tool: Cut, y: np.ndarray) -> np.ndarray:
    """Lowest x of the tool at each y: nose arc and main edge, no minor edge."""
    r, kappa = tool.nose_radius_mm, tool.entering_angle
    arc = np.where(np.abs(y) <= r, r - np.sqrt(np.maximum(r**2 - y**2, 0.0)), np.inf)
    straight = r * (1.0 - np.cos(kappa)) - (y + r * np.sin(kappa)) * np.tan(kappa)
    return np.where(y < -r * np.sin(kappa), straight, arc)


def removed_area(tool: Cut, depth: float) -> float:
    """Area between the profile, itself one feed earlier and the surface, by counting.

    An independent way: no angles, no normals, only heights above many y. (For entering
    angles below 90 deg, where the profile has one height above each y.)
    """
    left = -tool.nose_radius_mm - depth / np.tan(tool.entering_angle)
    y = np.linspace(left - tool.feed_mm, tool.nose_radius_mm + tool.feed_mm, 100_001)
    ahead = np.minimum(profile(tool, y - tool.feed_mm), depth)
    return float(np.trapezoid(np.maximum(ahead - profile(tool, y), 0.0), y))


@pytest.mark.parametrize("angle", [30.0, 45.0, 75.0, 89.0])
@pytest.mark.parametrize(("feed", "radius"), [(0.1, 0.4), (0.2, 0.8), (0.2, 0.25)])
def test_areas_add_up_to_the_chip_that_is_removed(
    angle: float, feed: float, radius: float
) -> None:
    tool = cut(feed, angle, radius)
    found = chip_elements(tool, DEPTHS).area_mm2.sum(axis=1)
    expected = [removed_area(tool, depth) for depth in DEPTHS]
    # The reference counts strips some 10 nm wide, of an edge as steep as 89 deg.
    assert found == pytest.approx(expected, rel=2e-5, abs=1e-9)


@pytest.mark.parametrize("angle", [30.0, 60.0, 90.0, 95.0, 107.0])
@pytest.mark.parametrize("radius", [0.0, 0.05, 0.12, 0.2, 0.4, 1.2])
def test_area_is_depth_times_feed_less_the_ridge(angle: float, radius: float) -> None:
    # Nose radii below, at and above the feed. The quadrature is good to 1e-6 even
    # where the normals graze the earlier arc (radius equal to feed, 90 deg).
    tool = cut(0.2, angle, radius)
    depth = 2.5
    area = chip_elements(tool, depth).area_mm2.sum()
    assert area + ridge_area(tool) == pytest.approx(depth * 0.2, rel=1e-6)


def test_the_ridge_is_the_textbook_one() -> None:
    # Theoretical roughness: height f²/8r, so area of a parabola's ridge f³/24r; the
    # circle differs by (f/r)²/16 or so, here 0.4 %.
    assert ridge_area(cut(0.1, 75.0, 0.4)) == pytest.approx(0.1**3 / 9.6, rel=5e-3)
    assert ridge_area(cut(0.1, 75.0, 0.0)) == 0.0


def test_thickness_on_the_nose_is_the_distance_to_the_earlier_arc() -> None:
    tool = cut(0.2, 90.0, 0.8)
    chip = chip_elements(tool, 2.0)
    on_nose = (chip.normal_angle < 1.2) & (chip.width_mm > 0.0)
    angle, thickness = chip.normal_angle[on_nose], chip.thickness_mm[on_nose]
    normal = np.array([np.cos(angle), np.sin(angle)])
    reached = np.array([[0.8], [0.0]]) - (0.8 - thickness) * normal
    # Rounding only: the point lies on the same arc, one feed farther back.
    assert np.hypot(reached[0] - 0.8, reached[1] - 0.2) == pytest.approx(0.8, rel=1e-12)


def test_straight_edge_has_the_nominal_chip() -> None:
    chip = chip_elements(cut(0.3, 60.0, 0.0), 2.0)
    engaged = chip.width_mm > 0.0
    assert chip.width_mm[engaged] == pytest.approx([2.0 / np.sin(np.pi / 3)])
    assert chip.thickness_mm[engaged] == pytest.approx([0.3 * np.sin(np.pi / 3)])


def test_a_cut_shallower_than_the_ridge_is_a_segment_of_the_nose() -> None:
    # The earlier revolution is out of reach: a groove, alike on both sides.
    r, depth = 0.4, 0.005
    chip = chip_elements(cut(0.3, 75.0, r), depth)
    half = np.arccos(1.0 - depth / r)
    segment = r**2 * (half - np.sin(half) * np.cos(half))
    assert chip.area_mm2.sum() == pytest.approx(segment, rel=1e-6)
    lean = (chip.area_mm2 * np.sin(chip.normal_angle)).sum() / segment
    assert lean == pytest.approx(0.0, abs=1e-9)


def test_depth_zero_engages_nothing() -> None:
    assert chip_elements(cut(0.2, 75.0, 0.4), 0.0).area_mm2.sum() == 0.0


@pytest.mark.parametrize("bad", [-0.1, np.nan, np.inf])
def test_a_depth_that_cannot_be_is_refused(bad: float) -> None:
    with pytest.raises(InputError, match=r"^depth_mm = .*must be a number, 0 or"):
        chip_elements(cut(0.2, 75.0, 0.4), np.array([0.1, bad]))
