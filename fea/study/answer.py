"""What a study answers: which designs keep to the limits, and which to make."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.case.study_measure import MEASURES
from fea.case.study_section import Aim, Study
from fea.study.run import Finished

# Fewer designs on a front have no bend between them.
LEAST_FOR_KNEE = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The designs that matter.

    Parameters
    ----------
    within : those that keep to every limit, the best by the first aim first
    front : of them, those that no other beats in both aims; by the first aim
    knee : the design of the front beyond which a little more of one aim costs much
        of the other, or None
    """

    within: tuple[Finished, ...]
    front: tuple[Finished, ...]
    knee: Finished | None

    @property
    def recommended(self) -> Finished | None:
        """Best by the first aim, or None if no design keeps to the limits."""
        return self.within[0] if self.within else None

    @property
    def runner_up(self) -> Finished | None:
        """The next best, or None."""
        return self.within[1] if len(self.within) > 1 else None


def answer_of(study: Study, finished: Sequence[Finished]) -> Answer:
    """Compare finished designs by a study's limits and aims."""
    kept = [each for each in finished if beyond(study, each) is None]
    # What the first aim leaves equal, the second decides, then the order of the table.
    kept.sort(key=lambda each: [-_worth(each, aim) for aim in study.aims])
    front = _front(study, kept)
    return Answer(within=tuple(kept), front=front, knee=_knee(study, front))


def beyond(study: Study, one: Finished) -> str | None:
    """Return why a design is out: its own reason or the first limit it breaks."""
    if one.outcome.reason is not None:
        return one.outcome.reason
    for limit in study.limits:
        value = one.outcome.row[MEASURES[limit.measure].column]
        too_low = limit.low is not None and value < limit.low
        if too_low or (limit.high is not None and value > limit.high):
            return f"limit {limit}"
    return None


def value_of(one: Finished, measure: str) -> float:
    """Return a measure of a design that was computed."""
    return one.outcome.row[MEASURES[measure].column]


def _worth(one: Finished, aim: Aim) -> float:
    """Return a measure so that more of it is better."""
    value = value_of(one, aim.measure)
    return value if aim.greatest else -value


def _front(study: Study, kept: Sequence[Finished]) -> tuple[Finished, ...]:
    """Walk from the best by the first aim to the best by the second."""
    front: list[Finished] = []
    best = -np.inf
    for each in kept:
        worth = _worth(each, study.aims[-1])
        if worth > best:
            front.append(each)
            best = worth
    return tuple(front)


def _knee(study: Study, front: Sequence[Finished]) -> Finished | None:
    """Return the design farthest above the chord between both ends of the front."""
    if len(study.aims) < 2 or len(front) < LEAST_FOR_KNEE:
        return None
    worth = np.array([[_worth(each, aim) for aim in study.aims] for each in front])
    low, high = worth.min(axis=0), worth.max(axis=0)
    # The ends lie at (1, 0) and (0, 1), so that the sum measures the distance.
    height = ((worth - low) / (high - low)).sum(axis=1)
    at = int(height.argmax())
    return front[at] if 0 < at < len(front) - 1 else None
