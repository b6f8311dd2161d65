"""What a study says, in sentences: what to make, what it costs, what comes next."""

from collections.abc import Iterable, Mapping, Sequence
from math import isfinite, isinf

from fea.case.study_measure import LIMIT_DEPTH, MEASURES, RATIO_TO_BLOCK
from fea.case.study_section import Aim, Study
from fea.report.number import rounded
from fea.report.table import NOT_THERE
from fea.study.answer import Answer, beyond, value_of
from fea.study.own import Own
from fea.study.run import Finished

COSTS = ("mass", "removed", "wall", LIMIT_DEPTH, "held_depth")
"""What is told of the recommended design beside the aims, where it is measured."""
ENDLESS = "without limit"


def unit_of(measure: str) -> str:
    """Return a measure's unit as it is printed."""
    return MEASURES[measure].kind.unit.replace("um", "µm")


def shown(measure: str, value: float) -> str:
    """Return a value of a measure with its unit; a dash if it is not known."""
    if isinf(value):
        return ENDLESS
    if not isfinite(value):
        return NOT_THERE
    return f"{rounded(value)} {unit_of(measure)}".rstrip()


def said_of(values: Mapping[str, object]) -> str:
    """Return the values of a design in one phrase."""
    return listed(f"{key} = {value}" for key, value in values.items())


def listed(phrases: Iterable[str]) -> str:
    """Join phrases by commas, the last one by `and`."""
    *head, last = phrases
    return f"{', '.join(head)} and {last}" if head else last


def recommendation(
    study: Study, finished: Sequence[Finished], answer: Answer, own: Own | None
) -> str:
    """Return the first sentence of the page: what to make, and what it costs."""
    best = answer.recommended
    if best is None:
        return (
            "None of these designs can be made and computed."
            if all(each.outcome.reason is not None for each in finished)
            else "No design that was computed keeps to every limit."
        )
    compared = [_against_own(study, best, own), _against_other(study, answer)]
    return (
        f"Make {said_of(best.design.values)} (design {best.design.number}), with "
        f"{'; '.join((named_aims(study.aims, best), *filter(None, compared)))}."
    )


def named_aims(aims: Sequence[Aim], one: Finished) -> str:
    """Return what a design has of the aims, in one phrase."""
    return listed(_phrase(aim.measure, value_of(one, aim.measure)) for aim in aims)


def _phrase(measure: str, value: float) -> str:
    if measure == RATIO_TO_BLOCK:
        return f"{shown(measure, value)} times the four-way block's stiffness"
    return f"{MEASURES[measure].noun} {shown(measure, value)}"


def _shown(one: Finished, aim: Aim) -> str:
    return shown(aim.measure, value_of(one, aim.measure))


def _against_own(study: Study, best: Finished, own: Own | None) -> str:
    """Say what the case has as it stands; empty if nothing is known of that."""
    if own is None:
        return ""
    if own.design is best:
        return "that is the case as it stands"
    values = [
        ("about " if aim.measure in own.estimated else "")
        + shown(aim.measure, own.measures[aim.measure])
        for aim in study.aims
        if isfinite(own.measures.get(aim.measure, float("nan")))
    ]
    if len(values) < len(study.aims):
        return ""
    return f"the case as it stands has {listed(values)}"


def _against_other(study: Study, answer: Answer) -> str:
    """Say what the best by the second aim has; empty if it is the same."""
    other = answer.front[-1]
    if len(study.aims) < 2 or other is answer.recommended:
        return ""
    values = listed(_shown(other, aim) for aim in study.aims)
    noun = MEASURES[study.aims[-1].measure].noun
    return f"design {other.design.number}, the best by {noun}, has {values}"


def further(
    study: Study, finished: Sequence[Finished], answer: Answer
) -> tuple[str, ...]:
    """Return what else the recommended design has, the next best and the bend."""
    if answer.recommended is None:
        return (_out_of_reach(study, finished),)
    said = [_takes(study, answer.recommended)]
    if answer.runner_up is not None:
        said.append(_other(study, "The next best is", answer.runner_up))
    return (*said, *_bend(study, answer))


def _out_of_reach(study: Study, finished: Sequence[Finished]) -> str:
    """Say what keeps most designs out."""
    reasons = [beyond(study, each) or "" for each in finished]
    most = max(dict.fromkeys(reasons), key=reasons.count)
    return (
        f"{reasons.count(most)} of {len(finished)} are out for the same reason: "
        f"{most.rstrip('.')}. Change that, or the ranges of the variables."
    )


def _takes(study: Study, best: Finished) -> str:
    aimed = {aim.measure for aim in study.aims}
    known = [name for name in COSTS if name not in aimed]
    facts = [
        f"{MEASURES[name].noun} {shown(name, value_of(best, name))}"
        for name in known
        if isfinite(value_of(best, name))
    ]
    return f"It has {listed(facts)}." if facts else ""


def _other(study: Study, beginning: str, one: Finished) -> str:
    return (
        f"{beginning} design {one.design.number} ({said_of(one.design.values)}), with "
        f"{named_aims(study.aims, one)}."
    )


def _bend(study: Study, answer: Answer) -> tuple[str, ...]:
    """Say where the trade between two aims bends, if there is one."""
    if len(study.aims) < 2 or len(answer.front) < 2:
        return ()
    first, second = (MEASURES[aim.measure].noun for aim in study.aims)
    trade = f"the trade of {first} for {second}"
    if answer.knee is None:
        return (f"There is no bend in {trade}.",)
    if answer.knee is answer.recommended:
        return (f"The recommended design lies at the bend in {trade}.",)
    return (_other(study, f"The bend in {trade} is", answer.knee),)


def counts(study: Study, finished: Sequence[Finished], answer: Answer) -> str:
    """Return how many designs were computed, kept and refused."""
    refused = sum(each.outcome.reason is not None for each in finished)
    out = len(finished) - refused - len(answer.within)
    limits = "; ".join(str(limit) for limit in study.limits) or "none"
    aims = listed(str(aim) for aim in study.aims)
    return (
        f"Designs: {len(finished)}, of which {len(answer.within)} are within the "
        f"limits, {out} computed but beyond them and {refused} not to be made or "
        "computed. "
        f"Aims: {aims}. Limits: {limits}."
    )
