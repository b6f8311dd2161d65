"""What a study answers: which designs keep to the limits, and which to make."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, isnan, nan

import numpy as np

from fea.case.study_measure import MEASURES
from fea.case.study_section import Aim, Study
from fea.study.run import Finished

# Fewer designs on a front have no bend between them.
LEAST_FOR_KNEE = 3
# Of the way from one end of the front to the other: less is as good as straight.
LEAST_BEND = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The designs that matter.

    Parameters
    ----------
    within : those that keep to every limit, the best by the first aim first
    level : of them, those that the scatter of the numbers cannot tell from the best
    recommended : of those, the best by the second aim; None if there is none
    front : of those within, the ones that no other beats in both aims; by the first aim
    knee : the design of the front beyond which a little more of one aim costs much
        of the other, or None
    """

    within: tuple[Finished, ...]
    level: tuple[Finished, ...]
    recommended: Finished | None
    front: tuple[Finished, ...]
    knee: Finished | None

    @property
    def runner_up(self) -> Finished | None:
        """The next best by the first aim, or None."""
        others = (each for each in self.within if each is not self.recommended)
        return next(others, None)


def answer_of(
    study: Study, finished: Sequence[Finished], scatter: float = 0.0
) -> Answer:
    """Compare finished designs by a study's limits and aims.

    Parameters
    ----------
    scatter : difference in the first aim's measure that means nothing
    """
    within = [each for each in finished if beyond(study, each) is None]
    # What the first aim leaves equal, the second decides, then the order of the table.
    within.sort(key=lambda each: [-_worth(each, aim) for aim in study.aims])
    front = _front(study, within)
    level = _level(study, within, scatter)
    return Answer(
        within=tuple(within),
        level=level,
        recommended=max(
            level, key=lambda each: _worth(each, study.aims[-1]), default=None
        ),
        front=front,
        knee=_knee(study, front, scatter),
    )


def beyond(study: Study, one: Finished) -> str | None:
    """Return why a design is out: its own reason or the first limit it breaks."""
    if one.outcome.reason is not None:
        return one.outcome.reason
    wanted = [limit.measure for limit in study.limits]
    wanted += [aim.measure for aim in study.aims]
    unknown = [name for name in wanted if isnan(value_of(one, name))]
    if unknown:
        return f"{unknown[0]} could not be found"
    for limit in study.limits:
        value = value_of(one, limit.measure)
        too_low = limit.low is not None and value < limit.low
        if too_low or (limit.high is not None and value > limit.high):
            return f"limit {limit}"
    return None


def value_of(one: Finished, measure: str) -> float:
    """Return a measure of a design; not a number where it has none."""
    value = one.outcome.row.get(MEASURES[measure].column)
    return nan if value is None else value


def _worth(one: Finished, aim: Aim) -> float:
    """Return a measure so that more of it is better."""
    value = value_of(one, aim.measure)
    return value if aim.greatest else -value


def _level(
    study: Study, within: Sequence[Finished], scatter: float
) -> tuple[Finished, ...]:
    if not within:
        return ()
    least = _worth(within[0], study.aims[0]) - scatter
    return tuple(each for each in within if _worth(each, study.aims[0]) >= least)


def _front(study: Study, within: Sequence[Finished]) -> tuple[Finished, ...]:
    """Walk from the best by the first aim to the best by the second."""
    front: list[Finished] = []
    best = -inf
    for each in within:
        worth = _worth(each, study.aims[-1])
        if worth > best:
            front.append(each)
            best = worth
    return tuple(front)


def _knee(study: Study, front: Sequence[Finished], scatter: float) -> Finished | None:
    """Return the design farthest above the chord between both ends of the front."""
    if len(study.aims) < 2 or len(front) < LEAST_FOR_KNEE:
        return None
    worth = np.array([[_worth(each, aim) for aim in study.aims] for each in front])
    # The first aim falls along the front and the second rises.
    fall, rise = worth[0, 0] - worth[-1, 0], worth[-1, 1] - worth[0, 1]
    if not (scatter < fall < inf and 0.0 < rise < inf):
        return None
    # Scaled, the ends lie at (1, 0) and (0, 1), so that the sum measures the distance.
    height = (worth[:, 0] - worth[-1, 0]) / fall + (worth[:, 1] - worth[0, 1]) / rise
    at = int(height.argmax())
    return front[at] if height[at] > 1.0 + LEAST_BEND else None
