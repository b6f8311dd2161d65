"""What the report says of facing and plunging: no depth and no diameter but theirs."""

from dataclasses import replace

import numpy as np
import pytest

from fea.analysis.chatter_result import Chatter
from fea.analysis.result import Comparison
from fea.machining.fed import Fed
from fea.report.curves import curves_figure
from fea.report.stiffness_tables import curve_table, stiffness_table
from fea.report.tables import result_tables
from fea.report.verdict import verdict


def fed(comparison: Comparison, way: Fed) -> Comparison:
    """The same numbers, got by another cut; facing makes no diameter."""
    new, old = (
        replace(
            stack,
            curve=replace(
                stack.curve,
                fed=way,
                diameter_error_um=stack.curve.diameter_error_um
                * (way is not Fed.ACROSS),
            ),
        )
        for stack in (comparison.quick_change, comparison.four_way)
    )
    return replace(comparison, quick_change=new, four_way=old)


def test_a_faced_work_comes_out_too_long_by_the_axial_motion(
    comparison: Comparison,
) -> None:
    faced = fed(comparison, Fed.ACROSS)
    axial = faced.quick_change.curve.deflection_um[-1, 1]
    assert f"the work comes out {axial:.1f} µm too long, against" in (
        verdict(faced).stiffness
    )
    row = stiffness_table(faced).rows[-1]
    assert row[0] == "length error, at 2 mm (µm; positive: too long)"
    low, high = faced.quick_change.bands.deflection_um[:, -1, 1]
    assert row[1].startswith(f"{axial:.1f} (")
    assert low < axial < high
    head, last = curve_table(faced.quick_change).head, curve_table(faced.quick_change)
    assert head[-1] == "length error (µm)"
    assert float(last.rows[-1][-1]) == pytest.approx(axial, abs=0.06)


def test_a_plunging_tool_has_a_width_and_a_groove(comparison: Comparison) -> None:
    plunged = fed(comparison, Fed.IN)
    text = verdict(plunged).stiffness
    assert "At 2 mm width of tool it gives way" in text
    assert "what the tool leaves standing is 32.4 µm too large in diameter until" in (
        text
    )
    assert curve_table(plunged.quick_change).head[0] == "width set (mm)"


@pytest.mark.parametrize(
    ("way", "label", "panel"),
    [
        (Fed.ALONG, "depth of cut", "Diameter error, work too large"),
        (Fed.ACROSS, "depth of cut", "Length error, work too long"),
        (Fed.IN, "width of tool", "Diameter error, work too large"),
    ],
)
def test_curves_are_drawn_over_what_is_set_with_the_error_that_is_made(
    comparison: Comparison, way: Fed, label: str, panel: str
) -> None:
    figure = curves_figure(fed(comparison, way))
    last = figure.axes[3]
    assert last.get_xlabel() == f"{label} that is set (mm)"
    assert last.get_title(loc="left") == panel
    assert np.abs(last.lines[0].get_ydata()).max() > 1.0


def test_no_table_of_a_plunging_tool_speaks_of_a_depth_of_cut(
    comparison: Comparison, chatter: Chatter
) -> None:
    wide = replace(chatter, quantity="width of tool")
    for table in result_tables(fed(comparison, Fed.IN), wide):
        words = " ".join((table.caption, table.meaning, *table.head))
        assert "depth of cut" not in words
