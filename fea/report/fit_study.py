"""What a fit makes of a study: sentences and a table of the designs recommended."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isfinite

from fea.analysis.regeneration import TRIED
from fea.case.study_measure import LIMIT_DEPTH, MASS_KEPT, MEASURES, RATIO_TO_BLOCK
from fea.case.study_section import Study
from fea.report.number import rounded
from fea.report.study_words import named_aims, said_of, unit_of
from fea.report.table import NOT_THERE, Table
from fea.study.answer import beyond, value_of
from fea.study.run import Finished
from fea.study.update import Twice, Update

TOLD = (RATIO_TO_BLOCK, LIMIT_DEPTH, MASS_KEPT)
"""Measures that stand in the table beside the aims."""
NONE = "no design that was computed keeps to every limit"


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyNews:
    """What the page says of the case's study.

    Parameters
    ----------
    sentences : what is recommended before and after, and what has changed
    table : of these designs; None if no study was run
    """

    sentences: tuple[str, ...]
    table: Table | None


def study_news(update: Update | None, study: Study, calibrated: str) -> StudyNews:
    """Put a study before and after a fit into words.

    Parameters
    ----------
    update : None if it was not asked for
    study : of the case
    calibrated : name of the calibrated case, as a command takes it
    """
    if update is None:
        return StudyNews(sentences=(_how(study, calibrated),), table=None)
    return StudyNews(
        sentences=(
            _recommended("With the expected constants", update, fitted=False),
            _recommended("With the fitted constants", update, fitted=True),
            change_words(update),
        ),
        table=_table(update),
    )


def _how(study: Study, calibrated: str) -> str:
    if study.variables:
        return (
            "The study of this case was not run: fit again with --study, or run "
            f"stoutpost study {calibrated}."
        )
    return (
        f"The case has no study. Add a [study] to {calibrated}, and stoutpost study "
        f"{calibrated} says which design to make."
    )


def _recommended(beginning: str, update: Update, *, fitted: bool) -> str:
    one = update.after if fitted else update.before
    if one is None:
        return f"{beginning} {NONE}."
    known = one.fitted if fitted else one.expected
    return (
        f"{beginning} the study says: make {said_of(one.values)}, with "
        f"{named_aims(update.study.aims, known)}."
    )


def change_words(update: Update) -> str:
    """Say whether the recommendation changed, and what keeping to the old one costs."""
    old, new = update.before, update.after
    if not update.is_changed:
        return "The fit does not change the recommendation."
    if old is None:
        return "There was no recommendation before; now there is one."
    out = beyond(update.study, old.fitted)
    if new is not None and out is None:
        return f"The recommendation changes: {_cost(update, old.fitted, new.fitted)}."
    return (
        "The recommendation changes: with the fitted constants the one before is out "
        f"({(out or '').rstrip('.')})."
    )


def shortfall(update: Update) -> float | None:
    """Fraction by which the one before is worse in the first aim, fitted constants.

    None where it is out of the limits, or where there is none before or after.
    """
    old, new = update.before, update.after
    if old is None or new is None or beyond(update.study, old.fitted) is not None:
        return None
    aim = update.study.aims[0]
    own, best = (value_of(each.fitted, aim.measure) for each in (old, new))
    less = best - own if aim.greatest else own - best
    return less / abs(best) if best else None


def _cost(update: Update, old: Finished, new: Finished) -> str:
    """Say what it costs to keep to the old design, both with the fitted constants."""
    aims = update.study.aims
    measure = aims[0].measure
    noun = MEASURES[measure].noun
    kept = f"the design recommended before has now {named_aims(aims, old)}"
    less = shortfall(update)
    if abs(value_of(new, measure) - value_of(old, measure)) <= update.alike:
        return f"{kept}, which cannot be told from the new one's {noun}; either will do"
    share = "worse" if less is None else f"{rounded(100.0 * less)} % worse"
    return f"{kept}, which in {noun} is {share} than the new one"


def _table(update: Update) -> Table | None:
    rows = [
        (name, one)
        for name, one in (
            ("recommended before", update.before),
            ("recommended now", update.after),
        )
        if one is not None
    ]
    if not rows:
        return None
    if not update.is_changed:
        rows = [("recommended before and now", rows[0][1])]
    keys = [variable.key for variable in update.study.variables]
    wanted = dict.fromkeys((*(aim.measure for aim in update.study.aims), *TOLD))
    columns = [
        column
        for name in wanted
        for column in _columns(name, [one for _, one in rows])
        if any(cell != NOT_THERE for cell in column[1:])
    ]
    return Table(
        caption="Designs recommended",
        meaning=(
            "What was expected of each and what the fit makes of it, both at the "
            f"middle of what is known; cuts were tried to {TRIED:g} times the deepest "
            "of the case. Run stoutpost report for the design that you choose: it has "
            "the bands."
        ),
        head=("", *keys, *(head for head, *_ in columns)),
        rows=tuple(
            (
                name,
                *(str(one.values[key]) for key in keys),
                *(cells[number] for _, *cells in columns),
            )
            for number, (name, one) in enumerate(rows)
        ),
        n_words=1 + len(keys),
    )


def _columns(measure: str, designs: Sequence[Twice]) -> Iterator[tuple[str, ...]]:
    """Give a head and its cells, twice where the constants move the measure."""
    head = f"{MEASURES[measure].noun} ({unit_of(measure)})".replace(" ()", "")
    expected, fitted = (
        tuple(_cell(value_of(each, measure)) for each in states)
        for states in (
            [one.expected for one in designs],
            [one.fitted for one in designs],
        )
    )
    if expected == fitted:
        yield head, *fitted
        return
    yield f"{head}, expected", *expected
    yield f"{head}, fitted", *fitted


def _cell(value: float) -> str:
    return rounded(value) if isfinite(value) else NOT_THERE
