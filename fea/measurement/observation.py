"""One number, grade or yes and no that was measured, whatever record it came from."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from fea.measurement.record import (
    PushReading,
    Records,
    Source,
    SpringPass,
    StackName,
    TapResult,
    TestCut,
)

Record = PushReading | SpringPass | TestCut | TapResult


class Kind(StrEnum):
    """What was observed, in the words of a report."""

    PUSH = "push test"
    SPRING = "spring pass"
    DEFLECTION = "deflection in a cut"
    GRADE = "motion seen in a cut"
    CHATTER = "chatter"
    FREQUENCY = "frequency of a tap"
    DAMPING = "damping of a tap"


UNITS = {
    Kind.PUSH: "µm",
    Kind.SPRING: "µm",
    Kind.DEFLECTION: "µm",
    Kind.GRADE: "µm",
    Kind.CHATTER: "mm",
    Kind.FREQUENCY: "Hz",
    Kind.DAMPING: "",
}
"""Unit of what the model predicts: of chatter it is the depth at which it begins."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """What was observed, and in which record.

    Parameters
    ----------
    kind : of observation
    record : that it came from
    """

    kind: Kind
    record: Record

    @property
    def source(self) -> Source:
        """Where it was written down."""
        return self.record.source

    @property
    def stack(self) -> StackName:
        """Which stack stood on the slide."""
        return self.record.stack


def observations(records: Records) -> tuple[Observation, ...]:
    """Return all that was observed, by kind, in the order of the records."""
    found = [_of(Kind.PUSH, each) for each in records.pushes]
    found += [_of(Kind.SPRING, each) for each in records.springs]
    cuts = records.cuts
    found += [_of(Kind.DEFLECTION, c) for c in cuts if c.deflection_um is not None]
    found += [_of(Kind.GRADE, c) for c in cuts if c.seen is not None]
    found += [_of(Kind.CHATTER, c) for c in cuts if c.chatter is not None]
    found += [_of(Kind.FREQUENCY, each) for each in records.taps]
    found += [_of(Kind.DAMPING, each) for each in records.taps]
    return tuple(found)


def of_kind(found: Sequence[Observation], *kinds: Kind) -> list[int]:
    """Places of observations of some kinds."""
    return [number for number, each in enumerate(found) if each.kind in kinds]


def _of(kind: Kind, record: Record) -> Observation:
    return Observation(kind=kind, record=record)
