"""What makes a study's answer doubtful: ends of ranges, scatter, a poor surface."""

from collections.abc import Iterator, Mapping, Sequence

from fea.case.study_measure import MEASURES
from fea.case.study_section import Study
from fea.report.number import percent
from fea.report.study_words import listed, shown
from fea.study.answer import Answer
from fea.study.axis import axis_of
from fea.study.range_end import RangeEnd, range_ends
from fea.study.run import Finished
from fea.study.surrogate import Surrogate

POOR = 1.0 / 3.0
"""Error over spread from which a surface explains less than 8/9 of the variance."""
OFTEN_OUT = 0.5
"""Share of designs that cannot be made or computed."""


def doubts(
    study: Study,
    finished: Sequence[Finished],
    answer: Answer,
    surrogates: Mapping[str, Surrogate],
    alike: float,
) -> tuple[str, ...]:
    """Return sentences to read before the numbers are trusted.

    Parameters
    ----------
    surrogates : by the name of the measure
    alike : difference in the first aim's measure that means nothing
    """
    said = [_end(end) for end in _ends(study, finished, answer)]
    said += _level(study, answer, alike)
    said += _surfaces(study, surrogates)
    failed = sum(each.outcome.reason is not None for each in finished) / len(finished)
    if failed > OFTEN_OUT:
        said.append(
            f"{percent(failed)} of the designs cannot be made or computed; the last "
            "table says why."
        )
    return tuple(said)


def _ends(
    study: Study, finished: Sequence[Finished], answer: Answer
) -> Iterator[RangeEnd]:
    """Give the ends that the recommended design shares with all that are as good."""
    if answer.recommended is None:
        return
    sides = [
        {(end.key, end.is_upper) for end in range_ends(study, finished, each)}
        for each in answer.level
    ]
    for end in range_ends(study, finished, answer.recommended):
        if all((end.key, end.is_upper) in side for side in sides):
            yield end


def _end(end: RangeEnd) -> str:
    way = "greater" if end.is_upper else "smaller"
    return (
        f"The best lies at the end of the range of {end.key} ({end.value}); widen it, "
        f"since a {way} value may be better still."
    )


def _level(study: Study, answer: Answer, alike: float) -> Iterator[str]:
    """Say that designs cannot be told apart, and what decided between them."""
    if len(answer.level) < 2:
        return
    first, second = study.aims[0].measure, study.aims[-1]
    decided = "add a second aim to choose between them"
    if len(study.aims) > 1:
        end = "most" if second.greatest else "least"
        decided = (
            f"the one with the {end} {MEASURES[second.measure].noun} is recommended"
        )
    finely = f" to the {shown(first, alike)} that can be told apart" if alike else ""
    yield (
        f"{len(answer.level)} designs have the same {MEASURES[first].noun} as the "
        f"best{finely}: {decided}."
    )


def _surfaces(study: Study, surrogates: Mapping[str, Surrogate]) -> Iterator[str]:
    axes = [axis_of(variable) for variable in study.variables]
    several = sum(axis is not None for axis in axes) > 1
    if several and study.aims[0].measure not in surrogates:
        yield (
            "Which variable matters cannot be said: too few designs were computed, or "
            f"they are alike in {MEASURES[study.aims[0].measure].noun}."
        )
    poor = [
        f"{MEASURES[name].noun} (off by {shown(name, each.error)}, which varies by "
        f"{shown(name, each.spread)})"
        for name, each in surrogates.items()
        if each.error > POOR * each.spread
    ]
    if poor:
        yield (
            "What moves a measure is known poorly, since no smooth surface goes "
            f"through the designs, for {listed(poor)}; ask for more designs."
        )
