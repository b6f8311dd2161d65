"""Cuts followed through time in the report: only where that was asked for."""

import json
from dataclasses import replace
from math import inf, nan
from pathlib import Path

import numpy as np
import pytest

from fea.analysis.chatter_result import Chatter
from fea.analysis.result import Comparison
from fea.analysis.simulation_result import (
    Chattering,
    Simulated,
    SimulatedSpeed,
    SimulatedStack,
    Traces,
)
from fea.report import write
from fea.report.case_summary import CaseSummary
from fea.report.chatter_simulation import COLUMNS, heights, simulation_plot
from fea.report.chatter_simulation_table import simulation_table
from fea.report.table import NOT_THERE

STEP_S = 1e-4
HEADING = "Cuts followed through time"


def swinging(growth: float) -> np.ndarray:
    time = STEP_S * np.arange(67 * COLUMNS)
    return np.exp(growth * time) * np.sin(2.0 * np.pi * 300.0 * time)


CHATTERS = SimulatedSpeed(
    speed_rpm=450.0,
    chart_mm=1.6,
    chart_hz=301.0,
    limit_mm=1.64,
    above=Chattering(
        depth_mm=2.13, swing_um=187.0, waves_um=41.0, away=0.21, frequency_hz=299.0
    ),
)
QUIET = SimulatedSpeed(
    speed_rpm=1100.0, chart_mm=inf, chart_hz=nan, limit_mm=inf, above=None
)
LOST = SimulatedSpeed(
    speed_rpm=450.0, chart_mm=2.0, chart_hz=310.0, limit_mm=nan, above=None
)
TRACES = Traces(
    step_s=STEP_S,
    below_um=10.0 * swinging(-3.0),
    above_um=swinging(2.0),
    below_mm=1.3,
    above_mm=2.13,
)
SIMULATED = Simulated(
    quick_change=SimulatedStack(
        name="quick-change", speeds=(CHATTERS, QUIET), traces=TRACES, deepest_mm=8.0
    ),
    four_way=SimulatedStack(
        name="four-way", speeds=(LOST,), traces=None, deepest_mm=8.0
    ),
)


def test_the_table_sets_simulation_beside_chart() -> None:
    table = simulation_table(SIMULATED, "depth of cut")
    chatters, quiet, lost = (
        dict(zip(table.head, row, strict=True)) for row in table.rows
    )
    assert chatters["difference"] == "+2 %"
    assert chatters["swing of the tip (µm)"] == "187"
    assert chatters["time out of the cut"] == "21 %"
    assert quiet["by simulation (mm)"] == quiet["by the chart (mm)"] == "more than 8"
    assert quiet["difference"] == quiet["frequency (Hz)"] == NOT_THERE
    assert lost["by simulation (mm)"] == lost["waves on the work (µm)"] == NOT_THERE


def test_the_picture_says_what_dies_and_what_stays() -> None:
    image = simulation_plot(SIMULATED)
    assert image is not None
    assert "at 1.3 mm the swing dies" in image.alt
    assert "settles at 187 µm" in image.alt
    assert "Four-way block: no cut that chatters was followed." in image.alt
    assert "was not followed" in (image.svg or "")


def test_without_a_cut_that_chatters_there_is_no_picture() -> None:
    still = replace(SIMULATED.quick_change, speeds=(QUIET,), traces=None)
    assert simulation_plot(replace(SIMULATED, quick_change=still)) is None


def test_the_drawn_heights_hold_the_whole_motion() -> None:
    motion = swinging(2.0)
    time, low, high = heights(STEP_S, motion)
    assert len(time) <= COLUMNS
    assert high.max() == motion.max()
    assert low.min() == motion.min()
    # A span of a few swings reaches as far up as down.
    assert high == pytest.approx(-low, rel=0.05)
    assert time[-1] < STEP_S * len(motion)


@pytest.mark.parametrize("simulated", [None, SIMULATED], ids=["plain", "simulated"])
def test_a_report_holds_followed_cuts_only_where_they_were_asked_for(
    comparison: Comparison,
    chatter: Chatter,
    case_summary: CaseSummary,
    tmp_path: Path,
    simulated: Simulated | None,
) -> None:
    found = replace(chatter, simulated=simulated)
    out = tmp_path / "out"
    page = write.write_report(comparison, found, case_summary, out, lambda _: None)
    asked = simulated is not None
    assert {path.name for path in out.iterdir()} == set(write.files(asked))
    text = page.read_text(encoding="utf-8")
    assert (f"<h2>{HEADING}" in text) == asked
    assert text.count("by simulation and by the chart") == 2 * asked
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    kept = summary["chatter"]["simulated"]
    if not asked:
        assert kept is None
        return
    first, second = kept["quick_change"]
    assert first["difference"] == pytest.approx(0.025)
    assert first["above"]["out_of_cut"] == 0.21
    assert second["limit_mm"] is None
    assert second["above"] is None
    assert kept["four_way"][0]["difference"] is None
