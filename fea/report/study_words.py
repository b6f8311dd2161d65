"""What a study says, in sentences: what to make, what it costs, what comes next."""

from collections.abc import Sequence

from fea.case.study_measure import MEASURES
from fea.case.study_section import Aim, Study
from fea.report.number import rounded
from fea.study.answer import Answer, value_of
from fea.study.run import Finished

COSTS = ("mass", "removed", "wall")
"""What is told of the recommended design beside the aims."""


def said_of(one: Finished) -> str:
    """Return the values of a design in one phrase."""
    parts = [f"{key} = {value}" for key, value in one.design.values.items()]
    return ", ".join(parts)


def measured(one: Finished, name: str) -> str:
    """Return a measure of a design with its unit."""
    measure = MEASURES[name]
    return measure.shown(rounded(value_of(one, name)))


def recommendation(study: Study, answer: Answer) -> str:
    """Return the first sentence of the page."""
    best = answer.recommended
    if best is None:
        return "No design that was computed keeps to every limit."
    aims = " and ".join(_aimed(best, aim) for aim in study.aims)
    return f"Make design {best.design.number}, {said_of(best)}: {aims}."


def cost(study: Study, answer: Answer) -> str:
    """Return what the recommended design costs."""
    best = answer.recommended
    if best is None:
        return "Widen the limits or the ranges; the table says what each design breaks."
    aimed = {aim.measure for aim in study.aims}
    told = [name for name in COSTS if name not in aimed]
    facts = ", ".join(f"{MEASURES[n].noun} {measured(best, n)}" for n in told)
    return f"What it costs: {facts}.{_given_away(study, answer)}"


def _given_away(study: Study, answer: Answer) -> str:
    """Compare with the other end of the front."""
    if len(study.aims) < 2 or len(answer.front) < 2:
        return ""
    first, second = study.aims
    other = answer.front[-1]
    return (
        f" Whoever puts {MEASURES[second.measure].noun} first gets "
        f"{measured(other, second.measure)} "
        f"with design {other.design.number} ({said_of(other)}) and "
        f"{MEASURES[first.measure].noun} {measured(other, first.measure)}."
    )


def alternatives(study: Study, answer: Answer) -> tuple[str, ...]:
    """Return the next best design and the knee of the trade."""
    found = []
    if answer.runner_up is not None:
        found.append(_named("The next best is", answer.runner_up, study.aims))
    if answer.knee is not None:
        found.append(_named("The trade bends at", answer.knee, study.aims))
    return tuple(found)


def _named(beginning: str, one: Finished, aims: Sequence[Aim]) -> str:
    told = " and ".join(_aimed(one, aim) for aim in aims)
    return f"{beginning} design {one.design.number}, {said_of(one)}: {told}."


def _aimed(one: Finished, aim: Aim) -> str:
    return f"{MEASURES[aim.measure].noun} {measured(one, aim.measure)}"


def counts(study: Study, finished: Sequence[Finished], answer: Answer) -> str:
    """Return how many designs were computed, kept and refused."""
    refused = sum(each.outcome.reason is not None for each in finished)
    beyond = len(finished) - refused - len(answer.within)
    limits = "; ".join(str(limit) for limit in study.limits) or "none"
    return (
        f"{len(finished)} designs: {len(answer.within)} within the limits, {beyond} "
        f"computed but beyond them, {refused} that cannot be made or computed. "
        f"Limits: {limits}."
    )
