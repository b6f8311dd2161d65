"""Everything that a fit leaves behind for people and for other programs."""

from collections.abc import Callable, Mapping
from pathlib import Path

from fea.case.schema import Case
from fea.core.stack import Stack
from fea.measurement.constant_answer import constant_answers
from fea.measurement.fit_records import RecordFit
from fea.report.fit_gallery import NAMES, fit_plots, fit_sketches
from fea.report.fit_page import render_fit
from fea.report.fit_readings_file import write_readings
from fea.report.fit_summary import FitSummary
from fea.report.staging import require_writable, staged

PAGE, SUMMARY, READINGS = "fit.html", "fit.json", "readings.csv"
PICTURES = tuple(f"{name}.png" for name in NAMES)
FILES = (PAGE, SUMMARY, READINGS, *PICTURES)
STAGES = ("drawing the fit", "sketching what to measure next", "writing the page")


def write_fit(
    case: Case,
    fit: RecordFit,
    stacks: Mapping[str, Stack],
    folder: Path,
    on_stage: Callable[[str], None],
) -> Path:
    """Write all of `FILES` into a folder, or none of them.

    Parameters
    ----------
    case : as it was before the fit
    fit : to what was measured
    stacks : both of the case, by name
    folder : made if it does not exist; other files in it are left alone
    on_stage : hears the name of each stage of the work

    Returns
    -------
    the page
    """
    require_writable(folder, FILES)
    answer, speed = fit.answer, case.spindle.speed
    unknowns, scores = fit.fit.model.unknowns, fit.posterior.scores
    constants = constant_answers(case, tuple(stacks.values()), unknowns, scores)
    drawing, sketching, writing = STAGES
    on_stage(drawing)
    images = fit_plots(answer, constants, speed)
    on_stage(sketching)
    sketches = fit_sketches(case, stacks["quick-change"], answer)
    on_stage(writing)
    summary = FitSummary.of(case.title, speed, fit, constants)
    with staged(folder) as place:
        for image in (*images, *sketches):
            (place / image.file_name).write_bytes(image.png)
        write_readings(answer.records, place / READINGS)
        text = summary.model_dump_json(indent=2) + "\n"
        (place / SUMMARY).write_text(text, encoding="utf-8")
        page = render_fit(case, answer, constants, images, sketches)
        (place / PAGE).write_text(page, encoding="utf-8")
    return folder / PAGE
