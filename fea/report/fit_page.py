"""The page of a fit: one HTML file that needs nothing else."""

from collections.abc import Iterator, Sequence

from fea.case.schema import Case
from fea.measurement.answer import FitAnswer
from fea.measurement.constant_answer import ConstantAnswer
from fea.measurement.likelihood import CHATTER_WIDTH, MODEL_SHARE, PLAIN
from fea.measurement.record import PushReading
from fea.report.fit_study import StudyNews
from fea.report.fit_tables import fit_tables, next_table
from fea.report.fit_words import fit_verdict
from fea.report.image import Image
from fea.report.number import percent, rounded
from fea.report.template import render

TEMPLATE, STYLE = "fit.html", "page.css"
SAME_MM = 0.05
"""Overhangs closer than this are one setting."""
FIXED_NOTES = (
    "Everything that is not known for certain (joints, ground, screws' friction, "
    "damping, cutting force, hold of the work, the least motion that an eye sees) is "
    "fitted at once. What is expected of it beforehand is its band in the tables that "
    "the report's bands are made of.",
    "Spring passes, cuts and tap tests are taken at the overhang of the case; only "
    "push tests can state another.",
    "A spot under the force itself lacks the dent of the surface: 1 to 4 % there.",
    "What is proposed next is ranked by how both answer and reading vary in what is "
    "known after the fit; slip adds a little to a push and is left out there.",
)


def notes() -> tuple[str, ...]:
    """Return what every fit rests on."""
    shares = ", ".join(f"{kind} {100.0 * s:g} %" for kind, s in MODEL_SHARE.items())
    return (
        *FIXED_NOTES,
        "Of a reading its own uncertainty counts and what the model itself may be off, "
        f"one standard deviation: {shares}. A reading that is far off pulls no more "
        "than one that is two standard deviations off.",
        f"Motion that is plain to see is {PLAIN:g} times the least that is seen at "
        f"all; a depth {percent(CHATTER_WIDTH)} from the limit may chatter or not.",
    )


def render_fit(
    case: Case,
    answer: FitAnswer,
    news: StudyNews,
    constants: Sequence[ConstantAnswer],
    images: Sequence[Image],
    sketches: Sequence[Image],
) -> str:
    """Verdict first, then warnings, study, pictures, what is next, tables, cautions."""
    speed = case.spindle.speed
    return render(
        TEMPLATE,
        STYLE,
        title=case.title,
        verdict=fit_verdict(answer, speed),
        refuted=answer.refutation.refuted,
        warnings=(*answer.warnings, *_overhangs(case, answer)),
        study=news,
        images=images,
        sketches=sketches,
        next_table=next_table(answer.next),
        tables=fit_tables(answer, constants, speed),
        notes=notes(),
    )


def _overhangs(case: Case, answer: FitAnswer) -> Iterator[str]:
    """Name push tests that were not made at the case's overhang."""
    own = case.tool.overhang
    found: dict[tuple[str, float], int] = {}
    for each in answer.records:
        record = each.seen.record
        if not isinstance(record, PushReading) or record.overhang_mm is None:
            continue
        if abs(record.overhang_mm - own) > SAME_MM:
            key = record.source.file, record.overhang_mm
            found[key] = found.get(key, 0) + 1
    for (file, overhang), count in found.items():
        yield (
            f"{file}: {count} readings were taken at an overhang of "
            f"{rounded(overhang)} mm, the case has {rounded(own)} mm. They are held "
            "against a tool that sticks out as far as it did then; all answers are for "
            "the overhang of the case."
        )
