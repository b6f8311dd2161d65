"""Which of the possible measurements are worth proposing."""

from collections.abc import Sequence

from fea.measurement.fit_records import BLAMED, LIMIT, RATIO
from fea.measurement.next_measurement import Gain
from fea.measurement.record import PushReading

QUESTIONS = (BLAMED, RATIO, LIMIT)
FEW = 3
"""Proposals for each question."""
NOTHING = 0.995
"""Spread left over spread now: above this a measurement tells nothing; only the best
for a question is told all the same."""
WORTH = 0.9
"""Spread left over spread now: above this a measurement tells little."""


def best(gains: Sequence[Gain], question: str) -> list[Gain]:
    """Return the few best measurements for a question, no two of them alike.

    To push here and read there tells the same as to push there and read here; the
    first of both is kept.
    """
    found: dict[object, Gain] = {}
    for gain in gains:
        if gain.question == question and (gain.left < NOTHING or not found):
            found.setdefault(_likeness(gain), gain)
    return list(found.values())[:FEW]


def best_of_all(gains: Sequence[Gain]) -> list[Gain]:
    """Return the best measurement of every question that is not another's already."""
    found: dict[object, Gain] = {}
    for question in QUESTIONS:
        others = [
            gain
            for gain in best(gains, question)
            if _likeness(gain) not in found and (gain.left < NOTHING or not found)
        ]
        found |= {_likeness(gain): gain for gain in others[:1]}
    return list(found.values())


def _likeness(gain: Gain) -> object:
    """Return what two measurements have in common that tell the same."""
    record = gain.seen.record
    if isinstance(record, PushReading):
        ends = {(record.force_at.part, record.force_along)}
        ends.add((record.read_at.part, record.read_along))
        return frozenset(ends), record.overhang_mm
    return gain.seen.kind, type(record).__name__
