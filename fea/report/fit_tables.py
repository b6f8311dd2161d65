"""Tables of a fit: records, blame, shares, what was fitted, what to measure next."""

from collections.abc import Sequence

import numpy as np

from fea.measurement.answer import Change, FitAnswer, RecordAnswer, StackCalibration
from fea.measurement.fitted_values import Meaning
from fea.measurement.next_measurement import Gain
from fea.measurement.observation import UNITS
from fea.measurement.posterior import Posterior
from fea.report.fit_words import changed, told
from fea.report.number import percent, rounded
from fea.report.palette import title_of
from fea.report.record_words import record_words, setup_words
from fea.report.table import NOT_THERE, Table
from geometry.pad import FloatArray

ODD = 3.0  # standard deviations beyond which a row stands out
BEST = 3  # measurements listed for each question
NARROWED = 0.9
"""Spread of a score, 1 before the fit, below which a constant is listed."""
MOVED = 0.3  # of a score, beyond which it is listed, too


def fit_tables(
    answer: FitAnswer, found: Posterior, meanings: Sequence[Meaning]
) -> tuple[Table, ...]:
    """All numbers of a fit, the most wanted first."""
    stacks = (answer.quick_change, answer.four_way)
    return (
        _blame(answer.quick_change),
        _stacks(answer),
        records_table(answer.records),
        *(_deflections(stack) for stack in stacks),
        _shares(answer.quick_change),
        _constants(found, meanings),
        _next(answer.next),
    )


def records_table(records: Sequence[RecordAnswer]) -> Table:
    """Every observation beside what is predicted of it."""
    return Table(
        caption="Records: measured, expected, calibrated",
        meaning=(
            "Expected and calibrated with 5 and 95 %. The residual is measured less "
            "calibrated, in standard deviations; of a grade or of chatter it is the "
            "chance of what was observed. Of chatter the depth is that at which it "
            "begins."
        ),
        head=(
            "Where it stands",
            "What",
            "Measured",
            "Expected",
            "Calibrated",
            "Off by",
        ),
        rows=tuple(_record(each) for each in records),
        n_words=2,
        marked=tuple(i for i, each in enumerate(records) if _is_odd(each)),
    )


def _record(each: RecordAnswer) -> tuple[str, ...]:
    unit = UNITS[each.seen.kind]
    after = f" {unit}" if unit else ""
    measured = NOT_THERE if each.measured is None else rounded(each.measured) + after
    off = rounded(each.residual) if each.residual is not None else NOT_THERE
    if each.chance is not None:
        off = percent(each.chance)
    return (
        str(each.seen.source),
        record_words(each.seen),
        measured,
        told(each.predicted) + after,
        told(each.calibrated) + after,
        off,
    )


def _is_odd(each: RecordAnswer) -> bool:
    return each.residual is not None and abs(each.residual) > ODD


def _blame(stack: StackCalibration) -> Table:
    return Table(
        caption="Where the motion comes from",
        meaning=(
            f"Share of the tip's motion along the cutting force at "
            f"{stack.depth_mm[-1]:g} mm on the quick-change post, and the chance that "
            "it is more than half."
        ),
        head=("Group", "Share expected", "Share now", "Chance before", "Chance now"),
        rows=tuple(
            (
                str(each.group),
                *_percents(each.share),
                percent(each.chance_before),
                percent(each.chance_after),
            )
            for each in stack.blame
        ),
    )


def _shares(stack: StackCalibration) -> Table:
    rows = sorted(stack.shares.items(), key=lambda item: -float(item[1].after[1]))
    return Table(
        caption="Shares of parts and joints",
        meaning="As above, one by one, the largest first.",
        head=("Part or joint", "Expected", "Now"),
        rows=tuple((name, *_percents(change)) for name, change in rows),
    )


def _percents(change: Change) -> tuple[str, str]:
    before, after = (
        f"{percent(float(b[1]))} ({percent(float(b[0]))} to {percent(float(b[2]))})"
        for b in (change.before, change.after)
    )
    return before, after


def _stacks(answer: FitAnswer) -> Table:
    rows = []
    for stack in (answer.quick_change, answer.four_way):
        for words, change in (
            ("stiffness along the cutting force, N/µm", stack.stiffness_n_per_um),
            ("chatter begins at the case's speed, mm", stack.limit_mm),
            ("no speed chatters below, mm", stack.smallest_mm),
        ):
            rows.append((f"{title_of(stack)}: {words}", *changed(change)))
    ratio = changed(answer.stiffness_ratio)
    rows.append(("stiffness, quick-change over four-way", *ratio))
    return Table(
        caption="Stiffness and chatter",
        meaning="Middle, with 5 and 95 %, before and after the fit.",
        head=("What", "Expected", "Now"),
        rows=tuple(rows),
    )


def _deflections(stack: StackCalibration) -> Table:
    rows = []
    for number, depth in enumerate(stack.depth_mm):
        for axis, words in enumerate(("radial", "axial", "vertical")):
            before, after = (
                told(each[:, number, axis])
                for each in (stack.deflection_um.before, stack.deflection_um.after)
            )
            rows.append((f"{depth:.3g} mm, {words}", before, after))
    return Table(
        caption=f"Deflection of the tip, {title_of(stack)}",
        meaning="In µm, with 5 and 95 %; the material's force is in these bands, too.",
        head=("Depth that is set", "Expected", "Now"),
        rows=tuple(rows),
    )


def _constants(found: Posterior, meanings: Sequence[Meaning]) -> Table:
    rows = [
        (each.name, each.unit or NOT_THERE, *_values(each, scores))
        for each, scores in zip(meanings, found.scores.T, strict=True)
        if scores.std() < NARROWED or abs(scores.mean()) > MOVED
    ]
    return Table(
        caption="Constants that the records tell of",
        meaning="Middle, with 5 and 95 %. All others stay as they were expected.",
        head=("Constant", "Unit", "Expected", "Now"),
        rows=tuple(rows),
        n_words=2,
    )


def _values(meaning: Meaning, scores: FloatArray) -> tuple[str, str]:
    band = np.array([-1.6448536, 0.0, 1.6448536])
    now = np.quantile(meaning.at(scores), (0.05, 0.5, 0.95))
    return told(np.sort(meaning.at(band))), told(now)


def _next(gains: Sequence[Gain]) -> Table:
    rows = []
    for question in dict.fromkeys(gain.question for gain in gains):
        own = [gain for gain in gains if gain.question == question][:BEST]
        rows += [
            (
                question,
                setup_words(gain.seen),
                told(gain.expected) + f" {UNITS[gain.seen.kind]}",
                percent(gain.left),
            )
            for gain in own
        ]
    return Table(
        caption="What to measure next",
        meaning="How much of a question's spread one more measurement would leave.",
        head=("Question", "Measurement", "Reading expected", "Spread left"),
        rows=tuple(rows),
        n_words=2,
    )
