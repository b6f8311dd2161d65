import dataclasses
from typing import Any

import numpy as np
import pytest

from fea.core.modal_model import ModalModel
from fea.machining.chip import chip_elements
from fea.machining.cut import Cut
from fea.machining.edge_stiffness import (
    EdgeAt,
    facing_edge,
    plunging_edge,
    turning_edge,
)
from fea.machining.force import cutting_force
from fea.machining.growth import growth_per_revolution, limit_by_simulation
from fea.machining.marching_edge import (
    MarchingEdge,
    marching_edge,
    mean_thickness,
    steady_force,
)
from fea.machining.time_domain import Turning, simulate
from fea.machining.work_material import load_work_materials
from geometry.errors import InputError, SolveError

STEEL = load_work_materials()["low_carbon_steel"]
MODEL = ModalModel(
    frequency_hz=np.array([180.0, 260.0]),
    damping_ratio=np.array([0.03, 0.04]),
    shapes=np.array([[6.0, 4.0, -3.0], [-3.0, 7.0, 5.0]]),
    residual=np.eye(3) * 2e-6,
)
CUT = Cut(feed_mm=0.12, entering_angle_deg=75.0, nose_radius_mm=0.4, rake_deg=6.0)
TURNING = Turning(
    model=MODEL,
    cut=CUT,
    edge_at=turning_edge,
    material=STEEL,
    speed_rpm=1500.0,
    diameter_mm=40.0,
)


def edge(edge_at: EdgeAt, cut: Cut, depths: np.ndarray) -> MarchingEdge:
    return marching_edge(STEEL, cut, edge_at(cut, depths), 0.0, 0.0)


def by_hand(cut: Cut, depth: float) -> np.ndarray:
    """Kienzle's law piece by piece; a parabola below 0.03 mm of chip."""
    chip = chip_elements(cut, depth)
    used = chip.area_mm2[0] > 0.0
    h, area, angle = (
        each[0, used] for each in (chip.thickness_mm, chip.area_mm2, chip.normal_angle)
    )
    law = STEEL.thrust
    forces = []
    for power, scale, slope in (
        (
            1.0 - STEEL.mc - law.thin_chip_exponent,
            law.ratio * 0.2**law.thin_chip_exponent,
            law.rake_percent_per_degree,
        ),
        (1.0 - STEEL.mc, 1.0, STEEL.rake_percent_per_degree),
    ):
        # Through no force at no chip; with the law's value and slope at 0.03 mm.
        s = h / 0.03
        thin = 0.03**power * ((2.0 - power) * s + (power - 1.0) * s**2)
        each = np.where(h < 0.03, thin, h**power) * area / h
        raked = 1.0 - slope / 100.0 * (cut.rake_deg - STEEL.reference_rake_deg)
        forces.append(STEEL.kc11_mpa * scale * raked * each)
    thrust, tangential = forces
    return np.array(
        [
            (thrust * np.cos(angle)).sum(),
            (thrust * np.sin(angle)).sum(),
            -tangential.sum(),
        ]
    )


@pytest.mark.parametrize(
    "shape",
    [
        {},
        {"nose_radius_mm": 0.0},
        {"nose_radius_mm": 0.0, "feed_mm": 0.02},
        {"entering_angle_deg": 95.0},
        {"feed_mm": 0.5},
        {"rake_deg": -6.0},
    ],
)
def test_pieces_of_the_edge_add_up_to_a_force_that_falls_to_nothing_for_thin_chips(
    shape: dict[str, float],
) -> None:
    cut = dataclasses.replace(CUT, **shape)
    depths = np.array([0.05, 0.3, 2.0])
    force = steady_force(edge(turning_edge, cut, depths))[:, 0]
    # The same sums in another order.
    expected = [by_hand(cut, depth) for depth in depths]
    assert force == pytest.approx(np.array(expected), rel=1e-11)


def test_where_no_chip_is_thin_the_force_is_the_static_one_and_never_above_it() -> None:
    depths = np.array([0.05, 0.3, 2.0])
    sharp = dataclasses.replace(CUT, nose_radius_mm=0.0)
    force = steady_force(edge(turning_edge, sharp, depths))[:, 0]
    assert force == pytest.approx(cutting_force(STEEL, sharp, depths), rel=1e-12)
    # On a nose: a power law that bends down rises more steeply at first.
    force = steady_force(edge(turning_edge, CUT, depths))[:, 0]
    static = cutting_force(STEEL, CUT, depths)
    assert (np.abs(force[:, [0, 2]]) < np.abs(static[:, [0, 2]])).all()
    assert force[1:] == pytest.approx(static[1:], rel=0.03)


def test_a_sharp_edge_has_a_chip_as_thick_as_the_feed_across_it() -> None:
    sharp = dataclasses.replace(CUT, nose_radius_mm=0.0)
    thickness = mean_thickness(edge(turning_edge, sharp, np.array([1.0, 2.0])))
    assert thickness == pytest.approx(0.12 * np.sin(np.radians(75.0)))


def test_facing_turns_the_force_of_turning_over_to_the_other_axis() -> None:
    depths = np.array([0.3, 2.0])
    force = steady_force(edge(facing_edge, CUT, depths))[:, 0]
    turned = steady_force(edge(turning_edge, CUT, depths))[:, 0]
    assert force == pytest.approx(turned[:, [1, 0, 2]], rel=1e-12)


def test_a_plunging_tool_is_pushed_back_as_a_straight_edge_of_its_width() -> None:
    widths = np.array([2.0, 3.0])
    force = steady_force(edge(plunging_edge, CUT, widths))[:, 0]
    # A sharp edge across the feed cuts the same chip, pushed along the feed.
    across = dataclasses.replace(CUT, entering_angle_deg=90.0, nose_radius_mm=0.0)
    turned = cutting_force(STEEL, across, widths)
    assert force[:, 0] == pytest.approx(turned[:, 1], rel=1e-12)
    assert force[:, 1:] == pytest.approx(
        np.column_stack([np.zeros(2), turned[:, 2]]), rel=1e-12
    )


def test_a_cut_that_is_not_knocked_stays_as_it_is() -> None:
    run = simulate(TURNING, 0.5, 5, knock_mm=0.0)
    still = MODEL.static_compliance @ by_hand(CUT, 0.5)
    assert np.abs(run.motion_mm - still).max() < 1e-12
    assert run.cutting_share == 1.0


def test_a_knock_swings_the_tip_nearly_as_far_as_asked() -> None:
    still = MODEL.static_compliance @ by_hand(CUT, 0.01)
    run = simulate(TURNING, 0.01, 2, knock_mm=1e-4)
    reach = np.linalg.norm(run.motion_mm - still, axis=1).max()
    # At most the whole when both modes swing one way at once, and half of it from one.
    assert 0.5e-4 < reach <= 1e-4


def test_time_goes_on_in_equal_steps_to_the_last_revolutions_end() -> None:
    run = simulate(TURNING, 0.5, 3)
    assert run.time_s[-1] == pytest.approx(3 * 60.0 / 1500.0)
    assert np.diff(run.time_s) == pytest.approx(run.time_s[0])
    assert run.time_s[0] <= 1.0 / (25.0 * 260.0)
    assert run.motion_mm.shape == run.force_n.shape == (run.time_s.size, 3)


def test_depths_that_are_marched_side_by_side_do_not_know_each_other() -> None:
    depths = np.array([0.2, 0.9, 1.6])
    together = growth_per_revolution(TURNING, depths)
    apart = [growth_per_revolution(TURNING, depths[[place]])[0] for place in range(3)]
    # Beside each other all are knocked as the thinnest chip asks, in proportion.
    assert together == pytest.approx(apart, abs=1e-4)


def test_a_chip_of_no_thickness_has_no_force_even_where_force_knows_no_thickness() -> (
    None
):
    thrust = dataclasses.replace(STEEL.thrust, thin_chip_exponent=0.6)
    steel = dataclasses.replace(STEEL, mc=0.4, thrust=thrust)
    soft = dataclasses.replace(MODEL, shapes=2.0 * MODEL.shapes)
    cut = dataclasses.replace(TURNING, material=steel, model=soft)
    run = simulate(cut, 1.5, 40)
    assert run.cutting_share < 1.0


def test_process_damping_makes_a_knock_die_sooner_and_most_at_low_speed() -> None:
    depth = np.array([0.5])
    slow = dataclasses.replace(TURNING, speed_rpm=400.0)
    gains = []
    for turning in (TURNING, slow):
        damped = dataclasses.replace(turning, process_damping_n_per_mm=100.0)
        gain = growth_per_revolution(turning, depth) - growth_per_revolution(
            damped, depth
        )
        gains.append(float(gain[0]))
    assert 0.0 < gains[0] < gains[1]


def test_a_cut_that_chatters_at_once_grows_from_its_knock_past_all_proportion() -> None:
    soft = dataclasses.replace(MODEL, shapes=8.0 * MODEL.shapes)
    turning = dataclasses.replace(TURNING, model=soft)
    # From a millionth of the chip past a thousandth of it, within a revolution or two.
    assert growth_per_revolution(turning, np.array([2.0]))[0] > np.log(1e3)


def test_a_flank_out_of_the_cut_rubs_on_nothing() -> None:
    soft = dataclasses.replace(MODEL, shapes=2.0 * MODEL.shapes)
    turning = dataclasses.replace(
        TURNING, model=soft, process_damping_n_per_mm=20.0, friction=0.3
    )
    assert simulate(turning, 1.5, 40).cutting_share < 1.0


def test_the_flanks_friction_pulls_down_where_it_is_pushed_back() -> None:
    pieces = plunging_edge(CUT, np.array([2.0]))
    rubbed = marching_edge(STEEL, CUT, pieces, 3.0, 0.3).damping
    # 3 N s/mm² on 2 mm of edge, against x; the work moves down, toward -z.
    assert rubbed == pytest.approx(np.array([[[6.0, 0.0, -1.8]]]))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"speed_rpm": 0.0}, r"simulation\.speed_rpm = 0 rev/min"),
        ({"speed_rpm": float("nan")}, r"simulation\.speed_rpm = nan"),
        ({"speed_rpm": 2.0}, r"steps a revolution.*keep fewer modes"),
        ({"diameter_mm": -1.0}, r"simulation\.diameter_mm = -1 mm"),
        ({"process_damping_n_per_mm": -1.0}, r"process_damping_n_per_mm = -1"),
        (
            {"model": dataclasses.replace(MODEL, damping_ratio=np.array([0.03, 0.0]))},
            r"simulation\.damping_ratio = 0 at 260 Hz",
        ),
        (
            {
                "model": ModalModel(
                    frequency_hz=np.empty(0),
                    damping_ratio=np.empty(0),
                    shapes=np.empty((0, 3)),
                    residual=np.eye(3) * 1e-6,
                )
            },
            r"has no modes: keep at least one",
        ),
    ],
)
def test_what_cannot_be_simulated_is_named(
    change: dict[str, Any], message: str
) -> None:
    with pytest.raises(InputError, match=message):
        dataclasses.replace(TURNING, **change)


@pytest.mark.parametrize(
    ("depth", "revolutions", "knock", "message"),
    [
        (0.0, 5, None, r"simulation\.depth_mm = 0 mm"),
        (float("nan"), 5, None, r"simulation\.depth_mm = nan mm"),
        (1.0, 0, None, r"simulation\.revolutions = 0: must be from 1"),
        (1.0, 5, -1.0, r"simulation\.knock_mm = -1 mm"),
    ],
)
def test_a_number_without_sense_is_named(
    depth: float, revolutions: int, knock: float | None, message: str
) -> None:
    with pytest.raises(InputError, match=message):
        simulate(TURNING, depth, revolutions, knock)


def test_modes_left_out_that_are_softer_than_the_cut_are_refused() -> None:
    soft = dataclasses.replace(MODEL, residual=np.eye(3) * 1e-3)
    with pytest.raises(SolveError, match="keep more modes or simulate a smaller depth"):
        simulate(dataclasses.replace(TURNING, model=soft), 2.0, 1)


@pytest.mark.parametrize(
    ("low", "high", "message"),
    [
        (0.01, 0.02, r"simulation\.high_mm = 0\.02 mm: does not chatter.*higher one"),
        (5.0, 6.0, r"simulation\.low_mm = 5 mm: chatters.*lower one"),
    ],
)
def test_a_limit_outside_of_the_two_depths_is_refused(
    low: float, high: float, message: str
) -> None:
    with pytest.raises(InputError, match=message):
        limit_by_simulation(TURNING, low, high)
