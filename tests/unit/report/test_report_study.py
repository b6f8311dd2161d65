"""The page of a study: its sentence, its doubts, its pictures and tables."""

import csv
import re
from collections.abc import Callable, Mapping
from html import unescape
from math import inf
from pathlib import Path

import pytest
from invented_study import (
    OFFSET,
    OVERHANG,
    WAY,
    WAYS,
    WIDTH,
    finished,
    smooth,
    solved,
    study_of,
    varied,
)
from pyarrow import parquet

from fea.case.case_file import load_case
from fea.case.schema import Case
from fea.case.study_section import Study
from fea.report.study_images import PICTURES
from fea.report.study_write import FILES, RECOMMENDED, write_study
from fea.study.recommended_case import text_of
from fea.study.run import Finished

DEMO = Path(__file__).parents[3] / "cases" / "garden_railway_study.toml"
LIMITS = {"mass": {"max": "3.1 kg"}, "wall": {"min": "6 mm"}}
AIMS = {"stiffness_ratio": "most", "mass": "least"}
GRID = varied(WIDTH, OFFSET, count=6)
ASIDE = re.compile(r"<svg.*?</svg>|<style.*?</style>", re.DOTALL)

Designs = tuple[Finished, ...]
Write = Callable[..., str]


@pytest.fixture(scope="module")
def demo() -> Case:
    return load_case(DEMO)


@pytest.fixture
def words(write: Write, monkeypatch: pytest.MonkeyPatch) -> Write:
    """Like `write`, but without pictures, which take longest."""
    monkeypatch.setattr("fea.report.study_write.study_images", lambda *_: ())
    return write


@pytest.fixture
def write(demo: Case, tmp_path: Path) -> Write:
    """Writes a study and returns the words of its page."""

    def written(study: Study, designs: Designs) -> str:
        case = demo.model_copy(update={"study": study})
        page = write_study(case, text_of(DEMO), designs, tmp_path)
        text = ASIDE.sub("", page.read_text(encoding="utf-8"))
        words = unescape(re.sub(r"<[^>]+>", "", text))
        return words.replace("\N{NO-BREAK SPACE}", " ")

    return written


def edited(designs: Designs, change: Mapping[int, Mapping[str, object]]) -> Designs:
    """Designs with other numbers in some rows."""
    return tuple(
        finished(e.design, {**e.outcome.row, **change.get(e.design.number, {})})  # type: ignore[dict-item]
        for e in designs
    )


def test_first_sentence_says_what_to_make_and_what_it_costs(words: Write) -> None:
    study = study_of(varied(WIDTH, count=9), LIMITS, AIMS)
    page = words(study, solved(study, smooth))
    # By hand from the formula at 0.75, 0.5 and 0 of the range: 48 mm is the widest
    # within 3.1 kg, the demo has 42 mm, and 30 mm is the lightest.
    assert (
        "Make post.dovetail.width = 48 mm (design 7), with 0.716 times the four-way "
        "block's stiffness and mass of holder and post 3.10 kg; the case as it stands "
        "has 0.668 and 2.90 kg; design 1, the best by mass of holder and post, has "
        "0.515 and 2.50 kg." in page
    )
    assert "The next best is design 6 (post.dovetail.width = 45 mm)" in page
    assert "The bend in the trade of stiffness against the four-way block for" in page


def test_case_between_the_designs_is_estimated_and_its_mass_is_its_own(
    words: Write, demo: Case
) -> None:
    study = study_of(GRID, LIMITS, AIMS)
    page = words(study, solved(study, smooth))
    found = re.search(r"the case as it stands has about (\S+) and (\S+) kg", page)
    assert found is not None
    at_42_and_0 = smooth({WIDTH: 0.5, OFFSET: 10.0 / 18.0})["stiffness_ratio"]
    # Three digits are printed.
    assert float(found[1]) == pytest.approx(at_42_and_0, abs=6e-4)
    # The drawn case's mass, not that of the formula.
    assert float(found[2]) == pytest.approx(3.01, abs=6e-3)


def test_case_outside_of_the_ranges_is_not_guessed_at(words: Write) -> None:
    study = study_of({WIDTH: {"from": "44 mm", "to": "54 mm"}}, {}, AIMS)
    assert "the case as it stands" not in words(study, solved(study, smooth))


def test_recommended_design_that_is_the_case_itself_says_so(words: Write) -> None:
    study = study_of({WAY: WAYS}, {}, AIMS)
    page = words(study, solved(study, smooth))
    assert "Make post.clamping.way = wedge (design 1)" in page
    assert "; that is the case as it stands" in page


def test_best_at_the_end_of_a_range_is_said(words: Write) -> None:
    study = study_of(varied(WIDTH, count=9), {}, AIMS)
    page = words(study, solved(study, smooth))
    assert (
        "The best lies at the end of the range of post.dovetail.width (54 mm); widen "
        "it, since a greater value may be better still." in page
    )
    limited = study_of(varied(WIDTH, count=9), LIMITS, AIMS)
    assert "end of the range" not in words(limited, solved(limited, smooth))


def test_design_within_the_scatter_is_chosen_by_the_second_aim(words: Write) -> None:
    study = study_of(varied(WIDTH, count=9), {}, AIMS)
    designs = solved(study, smooth)
    # 54 mm is better than 51 mm by less than a finer mesh changes.
    best = 0.9998 * designs[8].outcome.row["stiffness_ratio"]
    page = words(study, edited(designs, {8: {"stiffness_ratio": best}}))
    assert "Make post.dovetail.width = 51 mm (design 8)" in page
    assert "the one with the least mass of holder and post is recommended" in page


def test_flat_measure_is_said_to_tell_nothing(write: Write) -> None:
    study = study_of(GRID, {}, {"held_depth": "most"})
    page = write(study, solved(study, smooth))
    assert "36 designs have the same deepest cut that is held as the best" in page
    assert "Which variable matters cannot be said" in page
    assert "end of the range" not in page
    assert not (study_files(page) & {"study_sensitivity.png"})


def study_files(page: str) -> set[str]:
    return set(re.findall(r"study_\w+\.png", page))


def test_no_design_within_the_limits_names_the_limit_in_the_way(
    write: Write, tmp_path: Path
) -> None:
    (tmp_path / RECOMMENDED).write_text("of a study before")
    study = study_of(GRID, {"mass": {"max": "1 kg"}}, AIMS)
    page = write(study, solved(study, smooth))
    assert "No design that was computed keeps to every limit." in page
    assert RECOMMENDED not in page
    assert not (tmp_path / RECOMMENDED).exists()
    assert "36 of 36 are out for the same reason: limit mass <= 1 kg." in page
    assert study_files(page) == {"study_map.png", "study_front.png"}


def test_study_in_which_nothing_can_be_made_has_reasons_and_no_pictures(
    write: Write, tmp_path: Path
) -> None:
    study = study_of(GRID, LIMITS, AIMS)
    broken = tuple(
        finished(each.design, {}, f"post.bore = {n % 2}: leaves no wall; move it")
        for n, each in enumerate(solved(study, smooth))
    )
    (tmp_path / "study_map.png").write_bytes(b"of an earlier study")
    page = write(study, broken)
    assert "None of these designs can be made and computed." in page
    assert "18 of 36 are out for the same reason: post.bore = 0" in page
    assert "100 % of the designs cannot be made or computed" in page
    assert study_files(page) == set()
    assert not (tmp_path / "study_map.png").exists()


def test_few_designs_give_an_answer_and_no_sensitivities(write: Write) -> None:
    study = study_of(varied(WIDTH, OFFSET, count=2), LIMITS, AIMS)
    page = write(study, solved(study, smooth))
    assert "Make post.dovetail.width = 30 mm" in page
    assert "too few designs were computed" in page
    assert study_files(page) == {"study_map.png", "study_front.png"}


def test_single_design_is_an_answer(words: Write) -> None:
    study = study_of({WIDTH: ["42 mm"]}, LIMITS, AIMS)
    page = words(study, solved(study, smooth))
    assert "Make post.dovetail.width = 42 mm (design 1)" in page
    assert "The next best" not in page


@pytest.mark.parametrize(
    "variables",
    [
        GRID,
        varied(WIDTH, count=9),
        {**varied(WIDTH, count=4), WAY: WAYS},
        {"holder.screws.count": [2, 3], WAY: WAYS},
    ],
    ids=["two numbers", "one number", "number and choice", "whole number and choice"],
)
def test_every_kind_of_study_shows_all_of_its_pictures(
    write: Write, tmp_path: Path, variables: Mapping[str, object]
) -> None:
    study = study_of(variables, {"mass": {"max": "3.1 kg"}}, AIMS)
    page = write(study, solved(study, smooth))
    assert {"study_map.png", "study_front.png"} <= study_files(page)
    assert study_files(page) == {p.name for p in tmp_path.glob("*.png")}
    text = (tmp_path / "study.html").read_text(encoding="utf-8")
    shown = text.count('role="img" aria-label=')
    assert shown == len(study_files(page))
    assert "stiffness against the four-way block" in text
    assert "depth of cut up to which no speed chatters (mm)</text>" in text


def test_study_of_many_variables_shows_front_and_bars(write: Write) -> None:
    study = study_of({**varied(WIDTH, OVERHANG), WAY: WAYS}, LIMITS, AIMS, 40)
    page = write(study, solved(study, smooth))
    assert study_files(page) == {"study_front.png", "study_sensitivity.png"}
    assert "What moves: stiffness against the four-way block" in page
    assert "What moves: mass of holder and post" in page


def test_unknown_and_endless_values_leave_gaps_and_no_nonsense(
    write: Write, tmp_path: Path
) -> None:
    study = study_of(GRID, LIMITS, AIMS)
    change: dict[int, dict[str, object]] = {}
    change |= {n: {"stiffness_ratio": None} for n in range(3, 36, 7)}
    change |= {n: {"limit_depth_mm": inf} for n in range(5, 36, 7)}
    page = write(study, edited(solved(study, smooth), change))
    assert "stiffness_ratio could not be found" in page
    assert not re.search(r"\bnan\b|\bNone\b|\binf\b", page)
    with (tmp_path / "study.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert rows[2]["within_limits"] == "False"
    assert rows[2]["stiffness_ratio"] == ""


def test_best_table_is_in_order_and_marks_the_recommended(
    words: Write, tmp_path: Path
) -> None:
    study = study_of(GRID, LIMITS, AIMS)
    words(study, solved(study, smooth))
    text = (tmp_path / "study.html").read_text(encoding="utf-8")
    table = text.split("The best designs within the limits</h3>")[1].split("</table>")[
        0
    ]
    rows = re.findall(r"<tr.*?</tr>", table, re.DOTALL)[1:]
    assert len(rows) == 15
    assert 'class="marked"' in rows[0]
    assert ", recommended" in rows[0]
    # After the row's name, both variables, then the first aim.
    ratios = [float(re.findall(r"<td>(.*?)</td>", row)[2]) for row in rows]
    assert ratios == sorted(ratios, reverse=True)


def test_poor_surface_is_said_to_be_one(words: Write) -> None:
    study = study_of(GRID, {}, AIMS)
    designs = solved(study, smooth)
    # Numbers without order, as if every mesh gave another answer.
    change = {n: {"stiffness_ratio": 0.6 + 0.1 * (n * n % 7)} for n in range(1, 37)}
    page = words(study, edited(designs, change))
    assert "What moves a measure is known poorly" in page


def test_files_hold_every_design_and_nothing_else_is_written(
    write: Write, tmp_path: Path
) -> None:
    study = study_of(GRID, LIMITS, AIMS)
    write(study, solved(study, smooth))
    assert {path.name for path in tmp_path.iterdir()} == set(FILES)
    assert set(PICTURES) < set(FILES)
    table = parquet.read_table(tmp_path / "study.parquet").to_pydict()
    assert len(table["design"]) == 36
    text = (tmp_path / "study.html").read_text(encoding="utf-8")
    assert "http" not in text
    for name in FILES[1:]:
        assert name in text


def test_page_defers_to_the_maker_of_the_machine(words: Write) -> None:
    study = study_of(varied(WIDTH, count=3), {}, AIMS)
    page = words(study, solved(study, smooth))
    assert "so do the limits that the machine's maker sets" in page
    assert "Keep the guards in place" in page
