"""A study's tables: the best designs, the front, what moves a measure, what is out."""

from collections.abc import Iterator, Mapping, Sequence
from math import isfinite

from fea.case.field_kind import Quantity
from fea.case.key_tree import kind_of
from fea.case.study_measure import LIMIT_DEPTH, MEASURES, RATIO_TO_BLOCK
from fea.case.study_section import Study
from fea.report.number import percent, rounded
from fea.report.study_words import shown, unit_of
from fea.report.table import NOT_THERE, Table
from fea.study.answer import Answer, beyond, value_of
from fea.study.run import Finished
from fea.study.sensitivity import Sensitivity
from fea.study.surrogate import Surrogate

TOLD = (
    RATIO_TO_BLOCK,
    LIMIT_DEPTH,
    "diameter_error",
    "frequency",
    "mass",
    "removed",
    "wall",
    "safety",
)
"""Measures that stand in the tables beside the aims, where they are known."""
BEST_SHOWN = 15
REASONS_SHOWN = 10

Designs = Sequence[Finished]


def study_tables(
    study: Study,
    finished: Designs,
    answer: Answer,
    surrogates: Mapping[str, Surrogate],
    found: Mapping[str, Sequence[Sensitivity]],
) -> Iterator[Table]:
    """Give all tables of the page, the most useful first."""
    first = MEASURES[study.aims[0].measure].noun
    if answer.within:
        yield _designs(
            study,
            answer.within[:BEST_SHOWN],
            answer,
            "The best designs within the limits",
            f"By {first}, the best first; all of them are in study.csv.",
        )
    if len(answer.front) > 1:
        second = MEASURES[study.aims[-1].measure].noun
        yield _designs(
            study,
            answer.front,
            answer,
            f"The trade: {first} for {second}",
            "No design within the limits beats one of these in both aims.",
        )
    for measure, rows in found.items():
        yield _sensitivities(surrogates[measure], rows, measure)
    yield from _refused(study, finished)


def _designs(
    study: Study, shown_designs: Designs, answer: Answer, caption: str, meaning: str
) -> Table:
    """Return designs row by row, units in the head so that columns can be compared."""
    keys = [variable.key for variable in study.variables]
    wanted = dict.fromkeys((*(aim.measure for aim in study.aims), *TOLD))
    names = [
        name
        for name in wanted
        if any(isfinite(value_of(each, name)) for each in shown_designs)
    ]
    said = [_unit_apart(key, shown_designs) for key in keys]
    rows = tuple(
        (
            f"design {each.design.number}{_called(answer, each)}",
            *(cells[i] for _, cells in said),
            *(_number(value_of(each, name)) for name in names),
        )
        for i, each in enumerate(shown_designs)
    )
    units = (*(unit for unit, _ in said), *(unit_of(name) for name in names))
    nouns = (*keys, *(MEASURES[name].noun for name in names))
    heads = (f"{noun} ({unit})" for noun, unit in zip(nouns, units, strict=True))
    return Table(
        caption=caption,
        meaning=meaning,
        head=("", *(head.replace(" ()", "") for head in heads)),
        rows=rows,
        marked=tuple(
            i for i, each in enumerate(shown_designs) if each is answer.recommended
        ),
    )


def _unit_apart(key: str, designs: Designs) -> tuple[str, tuple[str, ...]]:
    """Return the unit of a key's values if they share one, and what is left of them."""
    texts = tuple(str(each.design.values[key]) for each in designs)
    units = {text.partition(" ")[2] for text in texts}
    if len(units) > 1 or not isinstance(kind_of(key), Quantity):
        return "", texts
    return units.pop(), tuple(text.partition(" ")[0] for text in texts)


def _called(answer: Answer, one: Finished) -> str:
    names = {"recommended": answer.recommended, "bend": answer.knee}
    called = [name for name, each in names.items() if each is one]
    return f", {' and '.join(called)}" if called else ""


def _number(value: float) -> str:
    return rounded(value) if isfinite(value) else NOT_THERE


def _sensitivities(
    surrogate: Surrogate, found: Sequence[Sensitivity], measure: str
) -> Table:
    rows = tuple(
        (
            each.axis.key,
            _per_cent(each.elasticity),
            _per_cent(each.slope_percent, f" for 1 {each.axis.unit}".rstrip()),
            percent(max(each.first, 0.0)),
            percent(max(each.total, 0.0)),
        )
        for each in found
    )
    return Table(
        caption=f"What moves: {MEASURES[measure].noun}",
        meaning=(
            "From a smooth surface through the designs. At designs that it was not "
            f"fitted to it is off by {shown(measure, surrogate.error)} (root mean "
            "square); over all designs the measure varies by "
            f"{shown(measure, surrogate.spread)} (standard deviation). The first two "
            "columns hold about the recommended design, the others over all ranges."
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


def _per_cent(value: float | None, behind: str = "") -> str:
    return NOT_THERE if value is None else f"{rounded(value)} %{behind}"


def _refused(study: Study, finished: Designs) -> Iterator[Table]:
    """Give the reasons why designs are out, the most frequent first."""
    by_reason: dict[str, list[int]] = {}
    for each in finished:
        reason = beyond(study, each)
        if reason is not None:
            by_reason.setdefault(reason, []).append(each.design.number)
    if not by_reason:
        return
    most = sorted(by_reason.items(), key=lambda pair: -len(pair[1]))[:REASONS_SHOWN]
    yield Table(
        caption="Why designs are out",
        meaning="The most frequent reasons; study.csv has that of each design.",
        head=("", "designs", "for example"),
        rows=tuple((why, str(len(n)), f"design {n[0]}") for why, n in most),
    )
