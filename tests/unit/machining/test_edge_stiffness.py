import dataclasses

import numpy as np
import pytest

from fea.machining.chip import chip_elements
from fea.machining.cut import Cut
from fea.machining.edge_law import edge_laws
from fea.machining.edge_stiffness import (
    EngagedEdge,
    cutting_matrix,
    facing_edge,
    force_slopes,
    load_rubbing,
    plunging_edge,
    rubbing_matrix,
    turning_edge,
)
from fea.machining.force import cutting_force
from fea.machining.work_material import load_work_materials

STEEL = load_work_materials()["medium_carbon_steel"]
SHARP = Cut(feed_mm=0.1, entering_angle_deg=90.0, nose_radius_mm=0.0, rake_deg=0.0)
ROUND = Cut(feed_mm=0.1, entering_angle_deg=75.0, nose_radius_mm=0.4, rake_deg=6.0)
DEPTHS = np.array([0.3, 1.0, 2.5])


def matrices(cut: Cut, edge: EngagedEdge) -> np.ndarray:
    return cutting_matrix(edge, force_slopes(STEEL, cut, edge))


@pytest.mark.parametrize("angle", [45.0, 75.0, 90.0, 95.0])
def test_a_straight_edge_answers_along_one_normal_only(angle: float) -> None:
    cut = dataclasses.replace(SHARP, entering_angle_deg=angle)
    edge = turning_edge(cut, DEPTHS)
    slopes = force_slopes(STEEL, cut, edge)
    kappa = np.radians(angle)
    normal = np.array([np.cos(kappa), np.sin(kappa), 0.0])
    for depth, found, tangential, thrust in zip(
        DEPTHS, matrices(cut, edge), slopes.tangential, slopes.thrust, strict=True
    ):
        width = depth / np.sin(kappa)
        pull = thrust * normal - tangential * np.array([0.0, 0.0, 1.0])
        # Rounding only; a nose of no radius still has pieces, of no width.
        assert found == pytest.approx(width * np.outer(pull, normal), rel=1e-9)


@pytest.mark.parametrize("angle", [45.0, 90.0])
def test_a_straight_edges_matrix_is_the_force_laws_change_with_feed(
    angle: float,
) -> None:
    cut = dataclasses.replace(SHARP, entering_angle_deg=angle)
    step = 1e-4
    more, less = (
        cutting_force(STEEL, dataclasses.replace(cut, feed_mm=0.1 + each), DEPTHS)
        for each in (step, -step)
    )
    # A surface that stands further toward +y is one that was fed less far by as much:
    # the chip is thicker along y. Central difference of a power law: (step/feed)² / 6.
    assert matrices(cut, turning_edge(cut, DEPTHS))[:, :, 1] == pytest.approx(
        (more - less) / (2.0 * step), rel=1e-5
    )


def test_on_a_nose_the_cutting_force_changes_with_feed_as_the_law_says() -> None:
    step = 1e-4
    more, less = (
        cutting_force(STEEL, dataclasses.replace(ROUND, feed_mm=0.1 + each), DEPTHS)
        for each in (step, -step)
    )
    found = matrices(ROUND, turning_edge(ROUND, DEPTHS))[:, 2, 1]
    # The chip's width stays as it is while the surface moves; on an arc it changes in
    # the ratio of thickness to twice the radius, at most feed over twice the radius.
    reach = ROUND.feed_mm / (2.0 * ROUND.nose_radius_mm)
    assert found == pytest.approx(((more - less) / (2.0 * step))[:, 2], rel=reach)


def test_every_piece_answers_as_its_own_chip_asks_and_a_thin_one_within_bounds() -> (
    None
):
    edge = turning_edge(ROUND, DEPTHS)
    slopes, h = force_slopes(STEEL, ROUND, edge), edge.thickness_mm
    thin = h < 0.03
    assert thin.any()
    assert (~thin).any()
    power, raked = 1.0 - STEEL.mc, 1.0 - 0.01 * ROUND.rake_deg
    own = power * STEEL.kc11_mpa * raked * h[~thin] ** -STEEL.mc
    assert slopes.tangential[~thin] == pytest.approx(own, rel=1e-12)
    # Down to no chip the slope grows by 1 + 2 (1 - power)/power at most, and the mean
    # slope is force over thickness, as for a straight line.
    at_least = power * STEEL.kc11_mpa * raked * 0.03**-STEEL.mc
    assert slopes.tangential[thin].max() <= (2.0 - power) / power * at_least
    assert slopes.tangential[thin].min() >= at_least


def test_the_slope_of_thin_chips_is_that_of_a_parabola_from_no_force_at_no_chip() -> (
    None
):
    law = edge_laws(STEEL, ROUND).thrust
    ends = law.slope(np.array([0.0, 0.03 * (1.0 - 1e-12)]))
    # A slope that falls in proportion: its mean over the thickness makes the force.
    assert ends.mean() * 0.03 == pytest.approx(law.scale * 0.03**law.power)
    assert ends[1] == pytest.approx(law.slope(np.array([0.03]))[0])
    assert law.slope(np.array([0.015]))[0] == pytest.approx(ends.mean())


def test_along_the_feed_an_edge_is_as_long_as_the_depth_less_the_ridge() -> None:
    # Every piece shows its width times the sine of its normal to a motion along y. The
    # nose starts to cut half a feed behind its lowest point, on the other side of it.
    edge = turning_edge(ROUND, DEPTHS)
    seen = (edge.width_mm * edge.normal[..., 1]).sum(axis=1)
    r = ROUND.nose_radius_mm
    ridge = r - np.sqrt(r**2 - (ROUND.feed_mm / 2.0) ** 2)
    # Quadrature of sine over the nose in crowded Gauss points.
    assert seen == pytest.approx(DEPTHS - ridge, rel=1e-6)


@pytest.mark.parametrize("angle", [45.0, 75.0, 95.0])
@pytest.mark.parametrize("radius", [0.0, 0.4])
def test_a_tool_that_leaves_the_work_is_pushed_less(
    angle: float, radius: float
) -> None:
    cut = Cut(
        feed_mm=0.1, entering_angle_deg=angle, nose_radius_mm=radius, rake_deg=0.0
    )
    kappa = np.radians(angle)
    away = np.array([np.cos(kappa), np.sin(kappa), 0.0])
    steady = cutting_force(STEEL, cut, DEPTHS)
    change = -matrices(cut, turning_edge(cut, DEPTHS)) @ away
    assert (np.einsum("ni,ni->n", change, steady) < 0.0).all()
    assert (change @ away < 0.0).all()
    assert (change[:, 2] > 0.0).all()  # the force on the tool is along -z


def test_motion_along_the_cutting_speed_leaves_the_force_alone() -> None:
    edge = turning_edge(ROUND, DEPTHS)
    assert not matrices(ROUND, edge)[:, :, 2].any()
    assert not rubbing_matrix(edge, 20.0, 0.3)[:, :, 2].any()


def test_facing_is_turning_with_depth_and_feed_exchanged() -> None:
    turned = matrices(ROUND, turning_edge(ROUND, DEPTHS))
    faced = matrices(ROUND, facing_edge(ROUND, DEPTHS))
    swapped = [1, 0, 2]
    assert faced == pytest.approx(turned[:, swapped][:, :, swapped], rel=1e-14)
    # Fed toward the axis, the main edge is pushed back along +x.
    deep = ROUND.nose_radius_mm < DEPTHS
    assert (faced[deep, 0, 0] > faced[deep, 1, 1]).all()


def test_a_plunging_edge_is_as_wide_as_the_tool_and_pushed_back_along_x() -> None:
    edge = plunging_edge(ROUND, DEPTHS)
    slopes = force_slopes(STEEL, ROUND, edge)
    found = matrices(ROUND, edge)
    assert edge.thickness_mm == pytest.approx(ROUND.feed_mm)
    assert found[:, 0, 0] == pytest.approx(DEPTHS * slopes.thrust[:, 0])
    assert found[:, 2, 0] == pytest.approx(-DEPTHS * slopes.tangential[:, 0])
    assert not found[:, :, 1:].any()


def test_harder_work_makes_its_own_part_of_the_matrix_larger() -> None:
    edge = turning_edge(ROUND, DEPTHS)
    slopes = force_slopes(STEEL, ROUND, edge)
    plain = cutting_matrix(edge, slopes)
    harder = cutting_matrix(edge, slopes.scaled(1.5, 0.8))
    assert harder[:, 2] == pytest.approx(1.5 * plain[:, 2])
    assert harder[:, :2] == pytest.approx(0.8 * plain[:, :2])


def test_rubbing_opposes_motion_into_the_work_along_every_piece() -> None:
    edge = turning_edge(ROUND, DEPTHS)
    found = rubbing_matrix(edge, 20.0, 0.0)
    length = chip_elements(ROUND, DEPTHS).width_mm.sum(axis=1)
    assert found == pytest.approx(found.transpose(0, 2, 1))
    assert np.trace(found, axis1=1, axis2=2) == pytest.approx(20.0 * length)
    assert np.linalg.eigvalsh(found).min() > -1e-12
    # A flank that is pressed onto the work is dragged along with it, down.
    with_friction = rubbing_matrix(edge, 20.0, 0.3)
    into = np.array([0.0, -1.0, 0.0])
    assert ((-with_friction @ into)[:, 2] < 0.0).all()


def test_the_rubbing_constant_lies_within_its_band() -> None:
    rubbing = load_rubbing()
    assert 0.0 < rubbing.low < rubbing.constant < rubbing.high
    assert rubbing.constant == pytest.approx(20.0)  # 2e4 N/m
    assert 0.0 <= rubbing.friction < 1.0
