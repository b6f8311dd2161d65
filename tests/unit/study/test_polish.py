"""Polishing: few tries, within the limits, better than what it started from."""

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from small_study import OFFSET, WIDTH, small_study

from fea.case.case_file import CaseReading
from fea.case.study_measure import MEASURES
from fea.study.answer import answer_of
from fea.study.designs import Design, designs_of
from fea.study.journal import Outcome
from fea.study.polish import polish, solves_of
from fea.study.run import Finished

STUDY = f"""
[study]
designs = 20
[study.variables]
"{WIDTH}" = {{ from = "30 mm", to = "54 mm" }}
"{OFFSET}" = {{ from = "-10 mm", to = "8 mm" }}
"post.clamping.way" = ["wedge", "solid"]
[study.aims]
stiffness_ratio = "most"
"""
LIMIT = '[study.limits]\nmass = { max = "3 kg" }\n'
TOP = np.array([44.0, 1.0])


class Formula:
    """Stands for a run: answers at once, by a hill over width and offset."""

    def __init__(self, reading: CaseReading) -> None:
        self.reading = reading
        self.tried: list[Mapping[str, object]] = []
        self.together: list[int] = []

    def finish(
        self, designs: Sequence[Design], on_done: Callable[[], None]
    ) -> tuple[Finished, ...]:
        self.together.append(len(designs))
        for each in designs:
            self.tried.append(each.values)
            on_done()
        return tuple(Finished(design=d, outcome=answer(d.values)) for d in designs)


def answer(values: Mapping[str, object]) -> Outcome:
    width, offset = (float(str(values[key]).split()[0]) for key in (WIDTH, OFFSET))
    if width > 53.0:
        return Outcome(row={}, reason="too wide")
    away = (np.array([width, offset]) - TOP) / np.array([24.0, 18.0])
    ratio = (
        1.2 - 0.3 * float(away @ away) + 0.01 * (values["post.clamping.way"] == "solid")
    )
    row = dict.fromkeys((each.column for each in MEASURES.values()), 1.0)
    row |= {"stiffness_ratio": ratio, "mass_kg": 1.0 + width / 20.0}
    return Outcome(row=row, reason=None)


def polished(reading: CaseReading) -> tuple[Formula, list[Finished], list[Finished]]:
    run = Formula(reading)
    designs = run.finish(designs_of(reading.case.study), lambda: None)
    return run, list(designs), polish(run, designs, lambda: None)  # type: ignore[arg-type]


def test_it_climbs_to_the_top_with_few_tries_and_tries_nothing_twice(
    tmp_path: Path,
) -> None:
    reading = small_study(tmp_path, STUDY)
    run, designs, more = polished(reading)
    assert 0 < len(more) <= solves_of(reading.case.study) == 12
    best = answer_of(reading.case.study, [*designs, *more]).recommended
    assert best is not None
    # The last step is a hundredth of a range: 1e-4 of the hill's height.
    assert best.outcome.row["stiffness_ratio"] == pytest.approx(1.21, abs=1e-3)
    assert len({tuple(each.items()) for each in run.tried}) == len(run.tried)
    numbers = [each.design.number for each in (*designs, *more)]
    assert all(after == before + 1 for before, after in pairwise(numbers))


def test_most_of_what_it_tries_is_solved_together(tmp_path: Path) -> None:
    run, _, more = polished(small_study(tmp_path, STUDY))
    designs, *rounds = run.together
    assert designs == 20
    # Two rounds of what the surface promises, one design for each of two ranges; what
    # the first model wants about the best, which is known; then one by one.
    assert rounds[:3] == [2, 2, 4]
    assert set(rounds[3:]) <= {1}
    assert sum(rounds) == len(more)


def test_it_stops_at_a_limit_that_the_top_lies_beyond(tmp_path: Path) -> None:
    reading = small_study(tmp_path, STUDY + LIMIT)
    _, designs, more = polished(reading)
    before = answer_of(reading.case.study, designs).recommended
    best = answer_of(reading.case.study, [*designs, *more]).recommended
    assert before is not None
    assert best is not None
    assert best.outcome.row["mass_kg"] <= 3.0
    # On the limit the width is 40 mm, a sixth of its range from the top.
    assert best.outcome.row["stiffness_ratio"] == pytest.approx(
        1.21 - 0.3 / 36.0, abs=2e-3
    )
    assert best.outcome.row["stiffness_ratio"] > before.outcome.row["stiffness_ratio"]


def test_a_grid_and_a_study_without_a_design_in_its_limits_are_left_alone(
    tmp_path: Path,
) -> None:
    nothing = STUDY + '[study.limits]\nmass = { max = "1 kg" }\n'
    assert polished(small_study(tmp_path, nothing))[2] == []
    lists = STUDY.replace('{ from = "30 mm", to = "54 mm" }', '["30 mm", "40 mm"]')
    lists = lists.replace('{ from = "-10 mm", to = "8 mm" }', '["0 mm", "1 mm"]')
    assert polished(small_study(tmp_path, lists))[2] == []
