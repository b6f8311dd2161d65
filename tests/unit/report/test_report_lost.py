"""A stack that is lost early, and samples that lose a joint: said, never compared."""

from dataclasses import replace
from pathlib import Path

import pytest
from invented_joints import DEPTHS, make_peak

from fea.analysis.chatter_result import Chatter
from fea.analysis.result import Comparison, StackResult
from fea.machining.deflection import DeflectionCurve
from fea.report import write
from fea.report.case_summary import CaseSummary
from fea.report.motion import common_depth, stiffness_ratio
from fea.report.share_tables import groups_table
from fea.report.stiffness_tables import stiffness_table
from fea.report.summary import Summary
from fea.report.table import NOT_THERE
from fea.report.verdict import verdict

HELD = 4
"""Depths that the shortened stack holds: the deepest of them is 1 mm."""


def shortened(stack: StackResult) -> StackResult:
    curve = stack.curve
    bands = stack.bands
    return replace(
        stack,
        curve=DeflectionCurve(
            depth_mm=curve.depth_mm[:HELD],
            actual_depth_mm=curve.actual_depth_mm[:HELD],
            force_n=curve.force_n[:HELD],
            deflection_um=curve.deflection_um[:HELD],
            diameter_error_um=curve.diameter_error_um[:HELD],
        ),
        bands=replace(
            bands,
            depth_mm=curve.depth_mm[[0, HELD - 1]],
            deflection_um=bands.deflection_um[:, :2],
            diameter_error_um=bands.diameter_error_um[:, :2],
        ),
        lost="the joint base is lost: it slides and nothing holds it any more",
        lost_depth_mm=1.5,
        load_n=curve.force_n[HELD - 1],
    )


@pytest.fixture(scope="module", params=["quick_change", "four_way"])
def uneven(request: pytest.FixtureRequest, comparison: Comparison) -> Comparison:
    name = request.param
    return replace(comparison, **{name: shortened(getattr(comparison, name))})


def test_a_lost_stack_is_named_with_the_depth_it_holds(uneven: Comparison) -> None:
    lost = next(s for s in (uneven.quick_change, uneven.four_way) if s.lost)
    title = {"quick-change": "quick-change post", "four-way": "four-way block"}
    assert verdict(uneven).failure == (
        f"The stack with the {title[lost.name]} does not hold beyond 1 mm depth of cut "
        "(tried: 1.5 mm): the joint base is lost: it slides and nothing holds it any "
        "more."
    )


def test_stacks_are_compared_at_the_deepest_cut_that_both_hold(
    uneven: Comparison,
) -> None:
    assert common_depth(uneven) == 1.0
    # The invented stacks differ by one factor at all depths; the depth really cut,
    # and so the direction of the force, does not: rounding only.
    assert stiffness_ratio(uneven) == pytest.approx(1.0 / 1.4, rel=1e-9)
    words = verdict(uneven).stiffness
    assert "At 1 mm depth of cut" in words
    table = stiffness_table(uneven)
    compared = [row for row in table.rows if not row[0].startswith("mesh error")]
    assert len(compared) == 3
    assert all("at 1 mm" in row[0] for row in compared)


def test_a_band_for_another_cut_is_not_given(uneven: Comparison) -> None:
    # Only the ratio's samples are taken where the stacks are compared.
    assert "(0.6 to 0.85)" in verdict(uneven).stiffness
    assert "(0.6 to 0.85)" in stiffness_table(uneven).rows[0][3]
    whole = 2 if uneven.quick_change.lost else 1
    assert "(" not in stiffness_table(uneven).rows[0][whole]
    assert all(row[-1] == NOT_THERE for row in groups_table(uneven).rows)


def test_all_files_are_written_of_stacks_with_curves_of_different_length(
    uneven: Comparison, chatter: Chatter, case_summary: CaseSummary, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    write.write_report(uneven, chatter, case_summary, out, lambda stage: None)
    assert {path.name for path in (tmp_path / "out").iterdir()} == set(write.FILES)
    text = (tmp_path / "out" / "summary.json").read_text(encoding="utf-8")
    summary = Summary.model_validate_json(text)
    assert summary.compared_depth_mm == 1.0
    assert summary.ratio_band == tuple(uneven.ratio_band)
    lengths = {len(s.curve) for s in (summary.quick_change, summary.four_way)}
    assert lengths == {HELD, len(DEPTHS)}


def test_samples_that_lose_a_joint_are_told_of(comparison: Comparison) -> None:
    stack = comparison.quick_change
    seldom, often = (
        replace(stack, bands=replace(stack.bands, lost=lost)) for lost in (0.04, 0.3)
    )
    assert verdict(replace(comparison, quick_change=seldom)).failure == ""
    words = verdict(replace(comparison, quick_change=often)).failure
    assert words.startswith("With 30 % of what joints, ground and clamping may be")


def test_a_part_that_yields_is_in_the_verdict_and_a_sharp_edge_is_not(
    comparison: Comparison,
) -> None:
    stack = comparison.quick_change
    # The invented edge is at 800 of 530 MPa already.
    assert stack.stresses[0].mesh_limited
    assert verdict(comparison).failure == ""
    lip = make_peak("holder", "lip", 600.0, edge=False)
    yields = replace(stack, stresses=(*stack.stresses, lip))
    words = verdict(replace(comparison, quick_change=yields)).failure
    assert "the holder yields (lip): 600 MPa against a yield strength of 530" in words
