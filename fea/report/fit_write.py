"""What a fit leaves behind: page, pictures, calibrated case, sets of constants."""

from collections.abc import Sequence
from pathlib import Path

from fea.case.schema import Case
from fea.core.stack import Part
from fea.measurement.calibrated_case import calibrated_text, write_sets
from fea.measurement.fit_records import RecordFit
from fea.measurement.fitted_values import Meaning
from fea.measurement.likelihood import CHATTER_WIDTH, FREEDOM, MODEL_SHARE, PLAIN
from fea.measurement.observation import Kind
from fea.measurement.record import PushReading
from fea.report.fit_record_plot import records_figure
from fea.report.fit_share_plot import fit_shares_figure
from fea.report.fit_tables import fit_tables
from fea.report.fit_words import fit_verdict
from fea.report.image import Image, plot
from fea.report.page import filled
from fea.report.record_words import setup_words
from fea.report.setup_sketch import sketch_figure
from fea.report.staging import staged

PAGE, CALIBRATED, SETS = "fit.html", "calibrated.toml", "posterior_sets.csv"
PICTURES = ("records.png", "fitted_shares.png", "next_measurement.png")
FILES = (PAGE, CALIBRATED, SETS, *PICTURES)
TEMPLATE = "fit.html"


def write_fit(
    case: Case,
    text: str,
    fit: RecordFit,
    meanings: Sequence[Meaning],
    parts: Sequence[Part],
    folder: Path,
) -> Path:
    """Write all of `FILES` into a folder, or none of them.

    Parameters
    ----------
    case, text : that was fitted, and its file's text
    fit : of it
    meanings : of its scores
    parts : of the quick-change stack, for the sketch
    folder : made if it does not exist

    Returns
    -------
    the page
    """
    images = _images(fit, parts)
    page = filled(
        TEMPLATE,
        case=case,
        verdict=fit_verdict(fit.answer),
        warnings=fit.answer.warnings,
        images=images,
        tables=fit_tables(fit.answer, fit.posterior, meanings),
        notes=_notes(),
    )
    shape = fit.posterior.approximation
    calibrated = calibrated_text(text, case, shape, meanings, fit.answer.damping_ratio)
    with staged(folder) as place:
        (place / PAGE).write_text(page, encoding="utf-8")
        (place / CALIBRATED).write_text(calibrated, encoding="utf-8")
        write_sets(place / SETS, fit.posterior, meanings)
        for image in images:
            (place / image.file_name).write_bytes(image.png)
    return folder / PAGE


def _images(fit: RecordFit, parts: Sequence[Part]) -> tuple[Image, ...]:
    answer = fit.answer
    found = [
        plot(
            fit_shares_figure(answer.quick_change),
            "fitted_shares",
            "Bars of what each group and member gives, before and after the fit",
            "Where the motion comes from: expected and calibrated, with 5 and 95 %. "
            "Beyond the dotted line a group gives more than half.",
        )
    ]
    if any(each.measured is not None for each in answer.records):
        found.insert(
            0,
            plot(
                records_figure(answer.records),
                "records",
                "Every reading beside what was expected of it and what is calibrated",
                "Measured (diamonds) against expected and calibrated; a diamond off "
                "the blue line is a reading that the fitted model does not give.",
            ),
        )
    pushes = [each for each in answer.next if isinstance(each.seen.record, PushReading)]
    if pushes:
        best = pushes[0]
        record = best.seen.record
        if isinstance(record, PushReading):
            words = setup_words(best.seen)
            found.append(
                plot(
                    sketch_figure(parts, record),
                    "next_measurement",
                    f"Sketch of the set-up: {words}",
                    f"The push test that tells most of the {best.question}: {words}.",
                )
            )
    return tuple(found)


def _notes() -> tuple[str, ...]:
    shares = ", ".join(
        f"{kind} {100.0 * share:g} %" for kind, share in MODEL_SHARE.items()
    )
    return (
        "What was expected of a constant is its band in the tables that the report's "
        "bands are made of, too; nothing else was assumed of it.",
        f"The model itself may be off by one standard deviation of: {shares}.",
        f"Readings may be wrong now and then: their scatter is Student's t with "
        f"{FREEDOM:g} degrees of freedom.",
        f"Motion that is plain to see is {PLAIN:g} times the least that is seen; a "
        f"depth {100.0 * CHATTER_WIDTH:g} % from the limit may chatter or not.",
        f"{Kind.SPRING}: the work gives way with the tool, and every pass is set to "
        "cut what the one before left.",
        "A spot under the force itself lacks the dent of the surface: 1 to 4 % there.",
    )
