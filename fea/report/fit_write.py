"""Everything that a fit leaves behind for people and for other programs."""

from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from itertools import chain
from multiprocessing import get_context
from pathlib import Path

from fea.case.case_file import CaseReading
from fea.case.schema import Case
from fea.case.toml_text import read_text
from fea.measurement.answer import FitAnswer
from fea.measurement.calibrated_case import calibrated_text, write_sets
from fea.measurement.constant_answer import ConstantAnswer, constant_answers
from fea.measurement.fit_records import RecordFit
from fea.report.fit_gallery import NAMES, fit_plots, fit_sketches
from fea.report.fit_page import render_fit
from fea.report.fit_readings_file import write_readings
from fea.report.fit_study import study_news
from fea.report.fit_summary import FitSummary
from fea.report.hands import FROM
from fea.report.image import Image
from fea.report.staging import require_writable, staged
from fea.study.update import Bench, Update

PAGE, SUMMARY, READINGS = "fit.html", "fit.json", "readings.csv"
CALIBRATED, SETS = "calibrated.toml", "posterior.csv"
PICTURES = tuple(f"{name}.png" for name in NAMES)
FILES = (PAGE, SUMMARY, READINGS, CALIBRATED, SETS, *PICTURES)
STAGES = ("drawing the fit, and what to measure next", "writing the page")


def calibrated_of(reading: CaseReading, fit: RecordFit) -> str:
    """Return the text of a case with what was fitted; the file is read again."""
    return calibrated_text(
        read_text(reading.path),
        reading.case,
        fit.posterior.approximation,
        fit.meanings,
        fit.answer.damping_ratio,
    )


def write_fit(
    reading: CaseReading,
    fit: RecordFit,
    update: Update | None,
    bench: Bench,
    on_stage: Callable[[str], None],
) -> Path:
    """Write all of `FILES` that there are into a folder, or none of them.

    Parameters
    ----------
    reading : of the case as it was before the fit
    fit : to what was measured
    update : of the case's study, None if it was not asked for
    bench : its folder is made if it does not exist; other files in it are left alone
    on_stage : hears the name of each stage of the work

    Returns
    -------
    the page
    """
    folder = bench.folder
    require_writable(folder, FILES)
    case, answer, speed = reading.case, fit.answer, reading.case.spindle.speed
    constants = constant_answers(fit.meanings, fit.posterior.scores)
    drawing, writing = STAGES
    on_stage(drawing)
    images = _drawn(case, answer, constants, bench)
    on_stage(writing)
    summary = FitSummary.of(case.title, speed, fit, constants, update)
    news = study_news(update, case.study, str(folder / CALIBRATED))
    with staged(folder, FILES) as place:
        for image in chain(*images):
            (place / image.file_name).write_bytes(image.png)
        write_readings(answer.records, place / READINGS)
        write_sets(place / SETS, fit.posterior, fit.meanings)
        for name, text in (
            (SUMMARY, summary.model_dump_json(indent=2) + "\n"),
            (CALIBRATED, calibrated_of(reading, fit)),
            (PAGE, render_fit(case, answer, news, constants, *images)),
        ):
            (place / name).write_text(text, encoding="utf-8")
    return folder / PAGE


def _drawn(
    case: Case, answer: FitAnswer, constants: Sequence[ConstantAnswer], bench: Bench
) -> tuple[tuple[Image, ...], tuple[Image, ...]]:
    """Draw plots here, and sketches at once elsewhere if there are two workers."""
    speed = case.spindle.speed
    if bench.workers < FROM:
        plots = fit_plots(answer, constants, speed)
        return plots, fit_sketches(case, answer, bench.cache)
    with ProcessPoolExecutor(1, get_context("spawn")) as elsewhere:
        sketches = elsewhere.submit(fit_sketches, case, answer, bench.cache)
        return fit_plots(answer, constants, speed), sketches.result()
