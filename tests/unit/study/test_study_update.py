"""A study before and after a fit: same designs, other constants, one question."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from invented_study import WIDTH, Row, Shares, solved, study_of, varied
from small_study import grid, small_study

from fea.analysis.build import lean_fineness, plan_stack
from fea.analysis.draw import GROUND
from fea.analysis.stack_names import FOUR_WAY, QUICK_CHANGE
from fea.case.case_file import CaseReading, reading_of
from fea.case.toml_text import read_text
from fea.core.cache import part_key
from fea.report.fit_study import shortfall, study_news
from fea.report.fit_study_summary import StudySummary
from fea.study.answer import value_of
from fea.study.figures import figures_key
from fea.study.run import Finished, OnDone, journal_of
from fea.study.update import Update, require_study, stage_count, updated
from geometry.errors import InputError

RATIO = "stiffness_ratio"
CALIBRATED = f"""
[calibration]
spread = [0.2]

[calibration.constants]
"{GROUND}" = [-0.6, 0.9]
"""
COUNT = 5
"""Widths from the least (share 0) to the greatest (share 1)."""


@dataclass
class InventedBench:
    """Takes rows from formulas, and with the fitted constants finds some only."""

    expected: Callable[[Shares], Row]
    fitted: Callable[[Shares], Row]
    found: slice

    def search(self, reading: Any, on_done: OnDone) -> tuple[Finished, ...]:
        designs = solved(reading.study, self._row(reading))
        for _ in designs:
            on_done()
        return designs[self.found] if reading.is_fitted else designs

    def joined(
        self, reading: Any, finished: tuple[Finished, ...], one: Finished | None
    ) -> tuple[Finished, ...]:
        missing = solved(reading.study, self._row(reading))
        return (
            *finished,
            *(
                e
                for e in missing
                if one and e.design == one.design and e not in finished
            ),
        )

    def _row(self, reading: Any) -> Callable[[Shares], Row]:
        return self.fitted if reading.is_fitted else self.expected


def update_of(
    expected: Callable[[float], float],
    fitted: Callable[[float], float],
    limits: Mapping[str, object] | None = None,
    found: slice = slice(None),
    told: Callable[[str], None] = lambda _: None,
) -> Update:
    """Compare designs of one width; the ratio is a formula of where it lies."""
    study = study_of(varied(WIDTH, count=COUNT), limits, {RATIO: "most"})

    def row(ratio: Callable[[float], float], limit: float) -> Callable[[Shares], Row]:
        # With the fitted constants the wide ones chatter early.
        return lambda at: {
            RATIO: ratio(at[WIDTH]),
            "limit_depth_mm": 2.0 - limit * at[WIDTH],
            "mass_kg": 2.0 + at[WIDTH],
        }

    readings = [
        SimpleNamespace(is_fitted=each, study=study, case=SimpleNamespace(study=study))
        for each in (False, True)
    ]
    bench = InventedBench(row(expected, 0.0), row(fitted, 1.5), found)
    return updated(*readings, bench, told)  # type: ignore[arg-type]


def rising(at: float) -> float:
    return 0.6 + 0.2 * at


def falling(at: float) -> float:
    return 0.8 - 0.2 * at


def words(update: Update) -> str:
    return " ".join(study_news(update, update.study, "calibrated.toml").sentences)


def test_another_design_is_recommended_and_the_old_one_falls_short() -> None:
    update = update_of(rising, falling)
    assert update.is_changed
    old, new = update.before, update.after
    assert old is not None
    assert new is not None
    assert (old.values[WIDTH], new.values[WIDTH]) == ("54 mm", "30 mm")
    assert value_of(old.expected, RATIO) == pytest.approx(0.8)
    assert value_of(old.fitted, RATIO) == pytest.approx(0.6)
    assert value_of(new.fitted, RATIO) == pytest.approx(0.8)
    # (0.8 - 0.6) / 0.8
    assert shortfall(update) == pytest.approx(0.25)
    assert "25.0 % worse than the new one" in words(update)
    summary = StudySummary.of(update)
    assert summary.changed
    assert summary.shortfall == pytest.approx(0.25)
    assert summary.before is not None
    assert summary.before.fitted["stiffness_ratio"] == pytest.approx(0.6)


def test_the_same_design_is_said_to_stay() -> None:
    update = update_of(rising, lambda at: 0.5 * rising(at))
    assert not update.is_changed
    assert shortfall(update) == 0.0
    assert "The fit does not change the recommendation." in words(update)
    table = study_news(update, update.study, "").table
    assert table is not None
    assert [row[:2] for row in table.rows] == [("recommended before and now", "54 mm")]
    for told in ("expected", "fitted"):
        assert f"stiffness against the four-way block, {told}" in table.head
    assert "mass of holder and post (kg)" in table.head


def test_a_design_that_breaks_a_limit_now_is_out_and_not_merely_worse() -> None:
    update = update_of(rising, rising, {"limit_depth": {"min": "1 mm"}})
    assert update.is_changed
    assert shortfall(update) is None
    assert update.after is not None
    # 2 mm - 1.5 mm x share is 1.25 mm at the half, 0.875 mm at three quarters.
    assert update.after.values[WIDTH] == "42 mm"
    assert "the one before is out (limit 1 mm <= limit_depth)." in words(update)
    summary = StudySummary.of(update)
    assert summary.before is not None
    assert "limit_depth" in (summary.before.out or "")


def test_where_none_keeps_to_the_limits_now_that_is_said() -> None:
    update = update_of(rising, rising, {"limit_depth": {"min": "1.5 mm"}}, slice(3, 5))
    assert update.after is None
    assert "With the fitted constants no design that was computed" in words(update)
    assert StudySummary.of(update).after is None


def test_a_search_that_misses_the_old_design_still_compares_it() -> None:
    update = update_of(rising, rising, None, slice(0, 2))
    assert not update.is_changed
    assert update.after is not None
    assert update.after.values[WIDTH] == "54 mm"


def test_progress_is_told_within_what_was_announced() -> None:
    told: list[str] = []
    update = update_of(rising, falling, told=told.append)
    assert len(set(told)) == 2
    assert COUNT < len(told) <= stage_count(update.study)


@pytest.fixture
def case(tmp_path: Path) -> CaseReading:
    return small_study(tmp_path, grid(["40 mm", "44 mm"], ["1 mm"]))


@pytest.fixture
def calibrated(case: CaseReading) -> CaseReading:
    return reading_of(case.path, read_text(case.path) + CALIBRATED)


def test_a_calibrated_case_has_a_journal_and_figures_of_its_own(
    case: CaseReading, calibrated: CaseReading, tmp_path: Path
) -> None:
    paths = [journal_of(each, tmp_path).path for each in (case, calibrated)]
    assert paths[0] != paths[1]
    other = reading_of(
        case.path, read_text(case.path) + CALIBRATED.replace("-0.6", "-0.7")
    )
    assert journal_of(other, tmp_path).path not in paths
    for name in (QUICK_CHANGE, FOUR_WAY):
        keys = [
            figures_key(each.case, plan_stack(each.case, name), with_safety=False)
            for each in (case, calibrated)
        ]
        assert keys[0] != keys[1]


def test_its_parts_are_those_of_the_case_and_need_no_second_solve(
    case: CaseReading, calibrated: CaseReading
) -> None:
    for name in (QUICK_CHANGE, FOUR_WAY):
        before, after = (
            [
                part_key(part, *lean_fineness(each.case))
                for part in plan_stack(each.case, name).parts
            ]
            for each in (case, calibrated)
        )
        assert before == after


def test_a_case_that_varies_nothing_is_told_what_to_add(
    case: CaseReading, tmp_path: Path
) -> None:
    require_study(case)
    with pytest.raises(InputError, match=r"small\.toml: study\.variables is missing"):
        require_study(small_study(tmp_path, ""))
