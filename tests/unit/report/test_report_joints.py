"""What the report tells of joints: beginnings, pressure maps, tables."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from invented_joints import make_joint, make_peak

from fea.analysis.result import Comparison, LoadCycle
from fea.report.curves import curves_figure
from fea.report.joint_tables import cycle_table, joints_table, stress_table
from fea.report.onset import Onset, beginnings
from fea.report.palette import ONSET_MARKERS
from fea.report.pressure_maps import direction, levels, lying, pressure_figure
from fea.report.share_bars import member_rows, shares_figure
from fea.report.table import NOT_THERE
from fea.report.verdict import verdict


def test_joints_above_the_slides_begin_in_the_order_of_depth(
    comparison: Comparison,
) -> None:
    begun = [
        (b.joint, b.onset, b.depth_mm) for b in beginnings(comparison.quick_change)
    ]
    assert begun == [
        ("fixed flank", Onset.SLIP, 0.5),
        ("land far", Onset.LIFT, 1.0),
        ("tool floor", Onset.SLIP, 1.5),
    ]
    assert beginnings(comparison.four_way) == ()


def test_the_verdict_names_the_first_joint_to_slip_and_to_lift(
    comparison: Comparison,
) -> None:
    assert verdict(comparison).joints == (
        "Above the slides “fixed flank” begins to slip at 0.5 mm and “land far” begins "
        "to lift at 1 mm; with the block no joint slips or lifts up to 2 mm depth of "
        "cut."
    )


def test_beginnings_are_marked_on_their_own_curve_in_every_panel(
    comparison: Comparison,
) -> None:
    curve = comparison.quick_change.curve
    for axes, values in zip(
        curves_figure(comparison).axes,
        (*curve.deflection_um.T, curve.diameter_error_um),
        strict=True,
    ):
        marks = {
            (line.get_marker(), *line.get_xydata()[0])
            for line in axes.lines
            if line.get_marker() in ONSET_MARKERS.values()
        }
        assert marks == {
            (ONSET_MARKERS[onset], depth, values[list(curve.depth_mm).index(depth)])
            for onset, depth in (
                (Onset.SLIP, 0.5),
                (Onset.LIFT, 1.0),
                (Onset.SLIP, 1.5),
            )
        }


def test_bands_are_shaded_at_the_depths_of_the_samples(comparison: Comparison) -> None:
    radial = curves_figure(comparison).axes[0]
    for shade, stack in zip(
        radial.collections,
        (comparison.quick_change, comparison.four_way),
        strict=True,
    ):
        corners = {tuple(point) for point in shade.get_paths()[0].vertices}
        for end in stack.bands.deflection_um[..., 0]:
            assert set(zip(stack.bands.depth_mm, end, strict=True)) <= corners


def test_a_pad_lies_on_its_longer_side_and_keeps_its_pressure() -> None:
    joint = make_joint("fixed flank", half=(5.0, 19.0))
    pad = lying(joint, joint.loaded)
    assert pad.size_mm == (38.0, 10.0)
    assert pad.directions == ("up", "away from work")
    # Invented pressure grows along the second side, which lies now.
    assert pad.pressure_mpa[0, 0] == 0.0
    assert pad.pressure_mpa[0, -1] == 10.0
    broad = make_joint("tool floor", half=(35.0, 6.0))
    assert lying(broad, broad.loaded).pressure_mpa[-1, 0] == 10.0


@pytest.mark.parametrize(
    ("side", "name"),
    [
        ((0.0, 0.0, -1.0), "down"),
        ((-0.9, 0.1, 0.4), "toward work"),
        ((0.0, 0.8, -0.6), "to tailstock"),
    ],
)
def test_a_side_is_named_by_the_nearest_direction(
    side: tuple[float, float, float], name: str
) -> None:
    assert direction(np.array(side)) == name


@pytest.mark.parametrize("top", [0.83, 7.3, 23.4, 112.0])
def test_steps_of_pressure_begin_at_zero_and_reach_the_top(top: float) -> None:
    steps = levels(top)
    assert steps[0] == 0.0
    assert steps[-1] >= top > steps[-2]
    assert 4 <= len(steps) <= 10


def test_a_screws_point_has_no_map_of_pressure(comparison: Comparison) -> None:
    stack = comparison.quick_change
    point = replace(make_joint("set screw 1"), clamped=None, loaded=None)
    figure = pressure_figure(replace(stack, joints=(*stack.joints, point)))
    plain = pressure_figure(stack)
    assert len(figure.axes) == len(plain.axes)
    assert tuple(figure.get_size_inches()) == tuple(plain.get_size_inches())


def test_every_pad_is_drawn_twice_in_its_true_proportions(
    comparison: Comparison,
) -> None:
    figure = pressure_figure(comparison.quick_change)
    width, height = figure.get_size_inches()
    joints = comparison.quick_change.joints
    pads = [axes for axes in figure.axes if axes.get_title(loc="left")]
    assert len(pads) == 2 * len(joints)
    for axes in pads:
        box = axes.get_position()
        drawn = box.width * width / (box.height * height)
        true = np.ptp(axes.get_xlim()) / np.ptp(axes.get_ylim())
        # Positions are fractions of the figure: rounding only.
        assert drawn == pytest.approx(true, rel=1e-9)
        assert box.x0 > 0.0
        assert box.x1 < 1.0
        assert box.y0 > 0.0
        assert box.y1 < 1.0
    names = {text.get_text() for text in figure.texts}
    assert {joint.name for joint in joints} <= names


def test_rows_of_pads_do_not_overlap(comparison: Comparison) -> None:
    figure = pressure_figure(comparison.quick_change)
    pads = [axes for axes in figure.axes if axes.get_title(loc="left")]
    boxes = [axes.get_position() for axes in pads[::2]]
    assert all(upper.y0 > lower.y1 for upper, lower in pairwise(boxes))


def test_a_joint_that_is_open_all_over_is_hatched_and_has_no_colours(
    comparison: Comparison,
) -> None:
    joint = make_joint("base", half=(40.0, 6.0))
    nothing = replace(joint.loaded, pressure_mpa=np.zeros((9, 9)))
    gone = replace(joint, clamped=nothing, loaded=nothing)
    figure = pressure_figure(replace(comparison.four_way, joints=(gone,)))
    assert len(figure.axes) == 2
    for axes in figure.axes:
        assert not axes.collections
        assert axes.patches[0].get_hatch()


def test_a_window_is_covered_and_not_taken_for_an_open_face(
    comparison: Comparison,
) -> None:
    plain, windowed = (
        make_joint("base", half=half) for half in ((40.0, 6.0), (40.0, 40.0))
    )
    counts = []
    for joint in (plain, windowed):
        figure = pressure_figure(replace(comparison.four_way, joints=(joint,)))
        counts.append(len(figure.axes[0].patches))
    assert counts == [1, 2]


def test_the_joints_table_goes_from_the_edge_down_and_gives_depths(
    comparison: Comparison,
) -> None:
    table = joints_table(comparison.quick_change)
    assert [row[0] for row in table.rows] == [
        "tool floor",
        "fixed flank",
        "land far",
        "base",
        "way near work",
        "gib",
    ]
    rows = {row[0]: row[-2:] for row in table.rows}
    assert rows["way near work"] == ("0.1", "0.25")
    assert rows["base"] == (NOT_THERE, NOT_THERE)
    assert "that is normal" in table.meaning


def test_a_mesh_limited_stress_has_no_safety_factor_and_stands_last(
    comparison: Comparison,
) -> None:
    table = stress_table(comparison.quick_change)
    assert [row[-1] for row in table.rows] == ["2.00", "2.94", NOT_THERE]
    assert "mesh-limited" in table.rows[-1][2]
    assert "invented steel: invented list" in table.meaning


def test_a_stress_whose_elements_disagree_is_called_coarse(
    comparison: Comparison,
) -> None:
    stack = comparison.quick_change
    for spread, kind in ((0.19, "counts"), (0.21, "coarse")):
        peak = make_peak("holder", "slot root", 265.0, edge=False, spread=spread)
        table = stress_table(replace(stack, stresses=(peak,)))
        assert table.rows[0][2] == f"{kind}, 2 mm off"


def test_a_cycle_without_slip_reads_zero_and_a_lost_one_is_left_out(
    comparison: Comparison,
) -> None:
    rounding = LoadCycle(residual_um=np.array([1e-9, -3e-12, 0.0]), loss_n_mm=1e-13)
    changed = replace(
        comparison,
        quick_change=replace(comparison.quick_change, cycle=rounding),
        four_way=replace(comparison.four_way, cycle=None),
    )
    rows = cycle_table(changed).rows
    assert [float(row[1]) for row in rows] == [0.0] * 4
    assert all("×" not in row[1] for row in rows)
    assert [row[2] for row in rows] == [NOT_THERE] * 4


def test_a_verdict_that_the_band_leaves_open_says_so(comparison: Comparison) -> None:
    open_ = replace(comparison, ratio_band=np.array([0.6, 1.2]))
    assert "which of the two is stiffer is not sure" in verdict(open_).stiffness
    assert "not sure" not in verdict(comparison).stiffness


def test_bars_carry_the_bands_of_their_shares(comparison: Comparison) -> None:
    axes = shares_figure(comparison).axes[1]
    spans = [
        tuple(path.vertices[:, 0]) for c in axes.collections for path in c.get_paths()
    ]
    bars = [bar.get_width() for bar in axes.patches]
    assert len(spans) == len(bars)
    assert len(bars) > len(member_rows(comparison))
    for (low, high), bar in zip(spans, bars, strict=True):
        # Invented bands are half and one and a half times the share; screws of a kind
        # add up. Rounding only.
        assert (low, high) == pytest.approx((0.5 * bar, 1.5 * bar), rel=1e-9)
