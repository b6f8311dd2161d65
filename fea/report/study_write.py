"""Everything a study leaves behind: page, table, plots."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from fea.case.schema import Case
from fea.case.study_measure import MEASURES
from fea.case.study_section import Study
from fea.report.image import Image, plot
from fea.report.number import percent, rounded
from fea.report.page import render
from fea.report.staging import require_writable, staged
from fea.report.study_plots import bars_figure, front_figure, map_figure
from fea.report.study_words import (
    alternatives,
    cost,
    counts,
    measured,
    recommendation,
)
from fea.report.table import NOT_THERE, Table
from fea.study.answer import Answer, answer_of, beyond
from fea.study.axis import Axis, axis_of
from fea.study.designs import is_grid
from fea.study.run import Finished
from fea.study.surrogate import Sensitivity, Surrogate, fit, sensitivities
from fea.study.table_file import columns_of, write_csv, write_parquet

PAGE, CSV, PARQUET = "study.html", "study.csv", "study.parquet"
MAP, FRONT, BARS = "study_map", "study_front", "study_sensitivity"
FILES = (PAGE, CSV, PARQUET, *(f"{name}.png" for name in (MAP, FRONT, BARS)))
TOLD = ("stiffness_ratio", "stiffness", "frequency", "mass", "removed", "wall")
"""Measures that stand in the page's table beside the aims."""
BEST_SHOWN = 10
REASONS_SHOWN = 10


def write_study(case: Case, finished: Sequence[Finished], folder: Path) -> Path:
    """Write all of `FILES` that the study gives; return the page."""
    require_writable(folder, FILES)
    study = case.study
    answer = answer_of(study, finished)
    measure = study.aims[0].measure
    surrogate = fit(study, finished, measure)
    about = answer.recommended
    found = sensitivities(surrogate, about) if surrogate and about else ()
    images = tuple(_images(study, finished, answer, found))
    tables = [_best(study, answer)]
    if surrogate is not None and found:
        tables.append(_sensitivity_table(surrogate, found, measure))
    tables += _refused(study, finished)
    page = render(
        PAGE,
        title=case.title,
        recommendation=recommendation(study, answer),
        cost=cost(study, answer),
        alternatives=alternatives(study, answer),
        counts=counts(study, finished, answer),
        images=images,
        tables=tables,
    )
    with staged(folder) as place:
        table = columns_of(study, finished)
        write_csv(table, place / CSV)
        write_parquet(table, place / PARQUET)
        for image in images:
            (place / image.file_name).write_bytes(image.png)
        (place / PAGE).write_text(page, encoding="utf-8")
    return folder / PAGE


def _images(
    study: Study,
    finished: Sequence[Finished],
    answer: Answer,
    found: Sequence[Sensitivity],
) -> Iterator[Image]:
    measure = study.aims[0].measure
    noun = MEASURES[measure].noun
    pair = _map_axes(study)
    if pair is not None:
        yield plot(
            map_figure(study, finished, answer, pair, measure),
            MAP,
            f"Contours of {noun} over {pair[0].key} and {pair[1].key}",
            "Each dot is a computed design. What is hatched breaks a limit or cannot be "
            "made; the table says which.",
        )
    if len(study.aims) > 1 and answer.front:
        other = MEASURES[study.aims[1].measure].noun
        yield plot(
            front_figure(study, finished, answer),
            FRONT,
            f"Designs by {other} and {noun}",
            "No design within the limits beats those on the front in both aims.",
        )
    if found:
        yield plot(
            bars_figure(found, measure),
            BARS,
            f"How much each variable moves {noun}",
            "Left: per cent for one per cent more of the variable, about the "
            "recommended design. Right: how much of the variance over the studied "
            "ranges each variable explains, alone and together with others.",
        )


def _map_axes(study: Study) -> tuple[Axis, Axis] | None:
    """Return both variables of a grid of numbers, or None if it is none."""
    axes = [axis_of(variable) for variable in study.variables]
    numbers = [axis for axis in axes if axis is not None and not axis.names]
    if not is_grid(study) or len(axes) != 2 or len(numbers) != 2:  # noqa: PLR2004
        return None
    return numbers[0], numbers[1]


def _best(study: Study, answer: Answer) -> Table:
    names = dict.fromkeys((*(aim.measure for aim in study.aims), *TOLD))
    keys = [variable.key for variable in study.variables]
    shown = answer.within[:BEST_SHOWN]
    rows = tuple(
        (
            f"design {each.design.number}",
            *(str(each.design.values[key]) for key in keys),
            *(measured(each, name) for name in names),
        )
        for each in shown
    )
    return Table(
        caption="The best designs within the limits",
        meaning=f"By {MEASURES[study.aims[0].measure].noun}, the best first.",
        head=("", *keys, *(MEASURES[name].noun for name in names)),
        rows=rows,
    )


def _sensitivity_table(
    surrogate: Surrogate, found: Sequence[Sensitivity], measure: str
) -> Table:
    kind = MEASURES[measure]
    rows = tuple(
        (
            each.axis.key,
            NOT_THERE if each.elasticity is None else f"{rounded(each.elasticity)} %",
            NOT_THERE
            if each.slope_percent is None
            else f"{rounded(each.slope_percent)} % per {each.axis.unit or 'unit'}",
            percent(max(each.first, 0.0)),
            percent(max(each.total, 0.0)),
        )
        for each in found
    )
    error = kind.shown(rounded(surrogate.error))
    spread = kind.shown(rounded(surrogate.spread))
    return Table(
        caption=f"What moves: {kind.noun}",
        meaning=(
            "From a smooth surface through the designs. At designs that it was not "
            f"fitted to it is off by {error} (root mean square); over all designs "
            f"the measure varies by {spread} (standard deviation)."
        ),
        head=(
            "",
            "for 1 % more of it",
            "for one unit more",
            "of the variance, alone",
            "of the variance, with others",
        ),
        rows=rows,
    )


def _refused(study: Study, finished: Sequence[Finished]) -> list[Table]:
    """Return the reasons why designs are out, the most frequent first."""
    by_reason: dict[str, list[int]] = {}
    for each in finished:
        reason = beyond(study, each)
        if reason is not None:
            by_reason.setdefault(reason, []).append(each.design.number)
    if not by_reason:
        return []
    most = sorted(by_reason.items(), key=lambda pair: -len(pair[1]))[:REASONS_SHOWN]
    rows = tuple((why, str(len(n)), f"design {n[0]}") for why, n in most)
    return [
        Table(
            caption="Why designs are out",
            meaning="The table of all designs has the reason of each.",
            head=("", "designs", "for example"),
            rows=rows,
        )
    ]
