"""The page of a fit says what was found, the verdict first."""

import numpy as np
import pytest
from linear_model import cut, push, seen_of

from fea.analysis.member import Group
from fea.measurement.answer import (
    FitAnswer,
    RecordAnswer,
    change,
    stack_calibration,
)
from fea.measurement.case_sets import StackSets
from fea.measurement.identifiability import identifiability
from fea.measurement.next_measurement import gains
from fea.measurement.refutation import Refutation
from fea.report.fit_record_plot import records_figure
from fea.report.fit_share_plot import fit_shares_figure
from fea.report.fit_tables import records_table
from fea.report.fit_words import fit_verdict

COUNT = 200


def sets(name: str, slides: float, spread: float) -> StackSets:
    """Make a stack whose slides give about that share."""
    random = np.random.default_rng(4)
    share = np.clip(slides + spread * random.standard_normal(COUNT), 0.02, 0.9)
    stiff = 10.0 * np.exp(spread * random.standard_normal(COUNT))
    return StackSets(
        name=name,
        depth_mm=np.array([0.5, 2.0]),
        deflection_um=random.standard_normal((COUNT, 2, 3)),
        stiffness_n_per_um=stiff,
        shares={
            "tool bit": 0.6 * (1.0 - share),
            "base": 0.4 * (1.0 - share),
            "ground": share,
        },
        limit_mm=np.where(np.arange(COUNT) < 40, np.inf, 0.2 * stiff),
        smallest_mm=0.1 * stiff,
        damping_ratio=np.full(COUNT, 0.03),
    )


def answer(odd: bool = False) -> FitAnswer:
    before, after = sets("quick-change", 0.3, 0.15), sets("quick-change", 0.65, 0.05)
    seen = seen_of([push(12.0), push(40.0)], [cut(1.0, chatter=True)])
    band = np.array([11.0, 12.0, 13.0])
    records = tuple(
        RecordAnswer(
            seen=each,
            measured=measured,
            predicted=2.0 * band,
            calibrated=band,
            residual=residual,
            chance=chance,
        )
        for each, measured, residual, chance in (
            (seen[0], 12.0, 0.2, None),
            (seen[1], 40.0, 9.0, None),
            (seen[2], None, None, 0.7),
        )
    )
    columns = np.column_stack([after.group(Group.SLIDES)] * 2)
    return FitAnswer(
        records=records,
        quick_change=stack_calibration(before, after),
        four_way=stack_calibration(sets("four-way", 0.3, 0.1), after),
        stiffness_ratio=change(before.smallest_mm, after.smallest_mm),
        known=identifiability(before, after),
        refutation=Refutation(
            chance=0.001 if odd else 0.4,
            chance_without=0.4,
            odd=(seen[1],) if odd else (),
            refuted=False,
        ),
        next=gains(
            {"share of the slides": after.group(Group.SLIDES)},
            seen_of([push(0.0, 0.01), push(0.0, 9.0)]),
            40.0 * columns,
        ),
        damping_ratio=None,
        warnings=(),
    )


def test_the_verdict_begins_with_who_is_to_blame() -> None:
    first = fit_verdict(answer())[0]
    assert "more than half of the motion at 2 mm is in the slides and machine" in first
    assert first.startswith("100 %")
    assert "before measuring" in first


def test_the_verdict_says_whether_the_records_fit() -> None:
    assert "The records fit the model" in " ".join(fit_verdict(answer()))
    said = " ".join(fit_verdict(answer(odd=True)))
    assert "some that are odd: invented.csv, line 2" in said


def test_the_verdict_ends_with_what_to_measure_next() -> None:
    last = fit_verdict(answer())[-1]
    assert "To know the share of the slides better, push the tool bit" in last
    assert "of its width" in last


def test_a_limit_that_was_not_reached_is_said_in_words() -> None:
    assert "more than was tried" in " ".join(fit_verdict(answer()))


def test_every_record_has_its_row_and_odd_ones_stand_out() -> None:
    table = records_table(answer().records)
    assert [len(row) for row in table.rows] == [len(table.head)] * 3
    assert table.marked == (1,)
    assert table.rows[2][1].endswith("chatter")
    assert table.rows[2][-1] == "70 %"


@pytest.mark.parametrize("draw", ["records", "shares"])
def test_plots_have_a_bar_for_all_that_they_show(draw: str) -> None:
    found = answer()
    if draw == "records":
        axes = records_figure(found.records).axes
        assert [len(each.get_yticklabels()) for each in axes] == [2]
    else:
        axes = fit_shares_figure(found.quick_change).axes
        labels = [label.get_text() for label in axes[1].get_yticklabels()]
        assert set(labels) == {"tool bit", "base", "ground"}
        assert [label.get_text() for label in axes[0].get_yticklabels()] == list(Group)


def test_the_tool_is_blamed_where_the_slides_are_stiff() -> None:
    before, after = sets("quick-change", 0.3, 0.1), sets("quick-change", 0.05, 0.01)
    found = stack_calibration(before, after)
    worst = max(found.blame, key=lambda each: each.chance_after)
    assert worst.group is Group.TOOL
