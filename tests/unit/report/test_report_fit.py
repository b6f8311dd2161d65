"""The page of a fit says what its answer says, and its pictures show it."""

import csv
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from invented_fit import (
    POST,
    TIP,
    cut,
    gain,
    gains,
    make_answer,
    make_constants,
    push,
    record_answers,
    seen,
    spring,
    stack,
    tap,
)
from PIL import Image as Pixels

from fea.case.schema import Case
from fea.core.stack import Stack
from fea.measurement.fit_records import BLAMED, RATIO
from fea.measurement.observation import Kind, observations
from fea.measurement.record import Records
from fea.measurement.refutation import Refutation
from fea.report.fit_gallery import NAMES, fit_plots
from fea.report.fit_next import best, best_of_all
from fea.report.fit_page import render_fit
from fea.report.fit_reading import observed_words, setup_words, spot_place
from fea.report.fit_readings_file import write_readings
from fea.report.fit_sketch import sketch_figure
from fea.report.fit_study import study_news
from fea.report.fit_tables import fit_tables, next_table
from fea.report.fit_words import blame_words, doubt_words, fit_verdict, with_band

SPEED = 450.0


def page(case: Case, **changed: object) -> str:
    answer = make_answer(**changed)
    news = study_news(None, case.study, "results/demo/calibrated.toml")
    html = render_fit(case, answer, news, make_constants(), (), ())
    return html.replace("\u00a0", " ")


def test_the_verdict_blames_with_a_probability(coarse_case: Case) -> None:
    assert blame_words(stack("quick-change", (0.05, 0.0, 0.81))) == (
        "It is 81 % likely that more than half of the tip's motion at 2 mm depth of "
        "cut with the quick-change post comes from the slides and machine beneath "
        "(below the tool post); before measuring it was 20 %."
    )
    html = page(coarse_case)
    first = re.findall(r'<p class="first">(.*?)</p>', html)
    assert first[0].startswith("It is 81 % likely")
    assert first[-1].startswith("Measure next, on the quick-change stack: push of 100")


def test_nobody_is_blamed_alone_if_nobody_is_likely_to_give_half() -> None:
    words = blame_words(stack("four-way", (0.3, 0.0, 0.4)))
    assert words.startswith("Nobody is to blame alone")
    assert "40 % likely at most" in words


def test_every_change_is_told_before_and_after_with_its_band() -> None:
    stiffness, *limits = fit_verdict(make_answer(), SPEED).changes
    assert "12.0 N/µm (8.4 to 15) to 11.7 N/µm (11 to 12)" in stiffness
    assert "from 1.07 (0.86 to 1.4) to 1.08 (0.97 to 1.1)" in stiffness
    assert "450 rev/min goes from 4.50 mm (1.2 to no chatter)" in limits[0]
    nothing = np.array([0.9, np.inf, np.inf])
    assert with_band(nothing, " mm") == "no chatter (5 %: 0.9 mm)"
    assert with_band(np.full(3, np.inf), " mm") == "no chatter"


def test_a_refuted_model_is_said_to_be_refuted(coarse_case: Case) -> None:
    odd = (seen(push()), seen(spring()))
    doubt = Refutation(chance=0.0, chance_without=0.002, odd=odd, refuted=True)
    words = doubt_words(make_answer(refutation=doubt))
    assert words.startswith("The records refute the model")
    assert "less than 1 %" in words
    assert "push.csv, line 5; spring.csv, line 4" in words
    assert 'class="first failure"' in page(coarse_case, refutation=doubt)
    assert 'class="first failure"' not in page(coarse_case)


def test_the_page_says_what_cannot_be_told_apart_and_what_to_doubt(
    coarse_case: Case,
) -> None:
    html = page(coarse_case)
    assert "They cannot tell the base from the gib" in html
    assert "no more than 12 independent sets" in html
    assert "Machine off, plug out and unable to start" in html
    assert "machine&#39;s maker" in html or "machine's maker" in html


def test_another_overhang_is_named_with_both_lengths(coarse_case: Case) -> None:
    far = push(overhang_mm=25.0), push(overhang_mm=25.0)
    html = page(coarse_case, records=record_answers(*far))
    assert "push.csv: 2 readings were taken at an overhang of 25.0 mm" in html
    same = record_answers(push(overhang_mm=coarse_case.tool.overhang))
    assert "were taken at an overhang" not in page(coarse_case, records=same)


def test_readings_are_told_in_the_words_of_the_shop() -> None:
    assert setup_words(seen(push(phase="unloading"))) == (
        "push of 100 N radial at the tip, post body read radial, unloading"
    )
    assert observed_words(seen(push(reading_um=-7.5))) == "\u22127.5 µm"
    assert setup_words(seen(spring())).endswith("mm/rev, after spring pass 1")
    assert observed_words(seen(spring())) == "3 µm"
    cuts = observations(Records(cuts=(cut(),)))
    assert [observed_words(each) for each in cuts] == [
        "\u221226 µm",
        "motion plain to see",
        "chatter",
    ]
    taps = observations(Records(taps=(tap(),)))
    assert [observed_words(each) for each in taps] == ["207 Hz", "0.036"]
    assert spot_place(TIP) == "the tip"
    assert "radial 100, axial 108, vertical 18 mm" in spot_place(POST)


def test_tables_hold_every_reading_and_its_predictions() -> None:
    answer = make_answer()
    odd = replace(answer.records[0], residual=-4.0)
    answer = replace(answer, records=(odd, *answer.records[1:]))
    changes, readings, *shares, constants = fit_tables(answer, make_constants(), SPEED)
    assert len(readings.rows) == len(answer.records)
    assert readings.marked == (0,)
    assert readings.rows[0][4:8] == ("7 µm", *readings.rows[0][5:7], "\u22124")
    assert readings.rows[0][6] == "7.00 µm (6.3 to 7.7)"
    assert changes.rows[-1][1:] == ("1.07 (0.86 to 1.4)", "1.08 (0.97 to 1.1)")
    assert shares[0].rows[0][2:] == ("30 % (10 to 60 %)", "33 % (20 to 55 %)")
    assert [row[0] for row in constants.rows] == ["gib"]
    assert constants.rows[0][2:] == ("1.00 (0.5 to 2)", "1.80 (1.5 to 2.2)", "28 %")


def test_what_is_next_is_told_once_and_in_numbers() -> None:
    chosen = best(gains(), BLAMED)
    assert [each.left for each in chosen] == [0.5, 0.7], "reciprocal or worthless"
    assert len(best_of_all(gains())) == 3
    assert best_of_all(gains())[1].question == RATIO
    assert best_of_all(gains())[1].seen.kind is Kind.SPRING, "the push is drawn before"
    first = next_table(gains()).rows[0]
    numbers = "34.0 to 48.0 %", "37.5 to 44.5 %", "50 %"
    assert first[3:] == ("a reading of 10 to 14 µm", *numbers)
    last = next_table(gains()).rows[-1]
    assert last[3] == "chatter from 10 to 14 mm on"
    little = fit_verdict(make_answer(next=(gain(BLAMED, push(), 0.98),)), SPEED).next
    assert little.startswith("No single measurement within reach would tell much more")
    assert "34.0 to 48.0 % to about 34.1 to 47.9 %, 98 % of the width" in little
    worthless = (gain(BLAMED, push(), 0.999), gain(BLAMED, spring(), 0.9999))
    assert [each.left for each in best(worthless, BLAMED)] == [0.999]
    nothing = fit_verdict(make_answer(next=()), SPEED).next
    assert nothing.startswith("No measurement within reach")


def test_the_readings_file_has_every_number(tmp_path: Path) -> None:
    path = tmp_path / "readings.csv"
    write_readings(make_answer().records, path)
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["number"] for row in rows] == [str(i + 1) for i in range(len(rows))]
    assert rows[0]["measured"] == "7"
    assert float(rows[0]["calibrated 95 %"]) == pytest.approx(7.7)
    assert (rows[0]["file"], rows[0]["line"]) == ("push.csv", "5")
    words = {row["seen or heard"] for row in rows}
    assert {"chatter", "quiet", "no motion seen", "motion plain to see"} <= words


def test_every_plot_renders_and_shows_both_states() -> None:
    images = fit_plots(make_answer(), make_constants(), SPEED)
    assert [image.name for image in images] == list(NAMES[: len(images)])
    for image in images:
        assert image.svg is not None
        assert "after" in image.svg or "calibrated" in image.svg
        assert image.alt
        assert image.caption
    readings = images[0].svg or ""
    assert all(str(kind)[1:] in readings for kind in Kind)


@pytest.mark.parametrize("number", [0, 2, 5])
def test_a_sketch_shows_the_stack_and_what_is_done_to_it(
    coarse_case: Case, coarse_quick_change: Stack, number: int, tmp_path: Path
) -> None:
    chosen = gains()[number]
    figure = sketch_figure(coarse_case, coarse_quick_change, chosen)
    words = [text.get_text() for text in figure.axes[0].texts]
    wanted = "bar of 20 mm" if number == 5 else "push 100 N"
    assert any(text.startswith(wanted) for text in words)
    path = tmp_path / "sketch.png"
    figure.savefig(path)
    with Pixels.open(path) as image:
        assert len(image.convert("RGB").getcolors(1 << 24) or ()) > 100, "empty"
