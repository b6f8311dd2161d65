"""Everything that a fit leaves behind for people and for other programs."""

from collections.abc import Callable, Sequence
from pathlib import Path

from fea.analysis.build import PLANS, plan_stack
from fea.case.case_file import CaseReading
from fea.case.toml_text import read_text
from fea.core.stack import Stack
from fea.measurement.calibrated_case import calibrated_text, write_sets
from fea.measurement.constant_answer import constant_answers
from fea.measurement.fit_records import RecordFit
from fea.measurement.fitted_values import Meaning, meanings
from fea.report.fit_gallery import NAMES, fit_plots, fit_sketches
from fea.report.fit_page import render_fit
from fea.report.fit_readings_file import write_readings
from fea.report.fit_summary import FitSummary
from fea.report.staging import require_writable, staged

PAGE, SUMMARY, READINGS = "fit.html", "fit.json", "readings.csv"
CALIBRATED, SETS = "calibrated.toml", "posterior.csv"
PICTURES = tuple(f"{name}.png" for name in NAMES)
FILES = (PAGE, SUMMARY, READINGS, CALIBRATED, SETS, *PICTURES)
STAGES = ("drawing the fit", "sketching what to measure next", "writing the page")


def write_fit(
    reading: CaseReading,
    fit: RecordFit,
    stack: Stack,
    folder: Path,
    on_stage: Callable[[str], None],
) -> Path:
    """Write all of `FILES` into a folder, or none of them.

    Parameters
    ----------
    reading : of the case as it was before the fit
    fit : to what was measured
    stack : quick-change, for the sketches
    folder : made if it does not exist; other files in it are left alone
    on_stage : hears the name of each stage of the work

    Returns
    -------
    the page
    """
    require_writable(folder, FILES)
    case, answer = reading.case, fit.answer
    speed, scores = case.spindle.speed, fit.posterior.scores
    plans = [plan_stack(case, name) for name in PLANS]
    meant = meanings(case, plans, fit.fit.model.unknowns)
    constants = constant_answers(meant, scores)
    drawing, sketching, writing = STAGES
    on_stage(drawing)
    images = fit_plots(answer, constants, speed)
    on_stage(sketching)
    sketches = fit_sketches(case, stack, answer)
    on_stage(writing)
    summary = FitSummary.of(case.title, speed, fit, constants)
    with staged(folder) as place:
        for image in (*images, *sketches):
            (place / image.file_name).write_bytes(image.png)
        write_readings(answer.records, place / READINGS)
        write_sets(place / SETS, fit.posterior, meant)
        for name, text in (
            (SUMMARY, summary.model_dump_json(indent=2) + "\n"),
            (CALIBRATED, _calibrated(reading, fit, meant)),
            (PAGE, render_fit(case, answer, constants, images, sketches)),
        ):
            (place / name).write_text(text, encoding="utf-8")
    return folder / PAGE


def _calibrated(reading: CaseReading, fit: RecordFit, meant: Sequence[Meaning]) -> str:
    text, shape = read_text(reading.path), fit.posterior.approximation
    return calibrated_text(text, reading.case, shape, meant, fit.answer.damping_ratio)
