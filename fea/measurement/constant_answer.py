"""What was expected of every constant, and what is known of it after the fit."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.measurement.calibrated_case import BAND as BAND_SCORES
from fea.measurement.fitted_values import FORCE_FACTOR, Meaning
from geometry.pad import FloatArray

BAND = (0.05, 0.5, 0.95)
IN_WORDS = {
    "closure_um": "closing under pressure",
    "exponent": "exponent of closing",
    "tangential_ratio": "tangential over normal stiffness",
    "threshold": "least motion seen",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ConstantAnswer:
    """One constant before and after the fit, over what was expected most.

    Parameters
    ----------
    name : as the samples have it
    member : of the stack, or what else it belongs to
    what : it is, in words
    before, after : (3,) 5, 50 and 95 %; the middle of `before` is 1
    spread : width of the band after over that before, both in ratio
    """

    name: str
    member: str
    what: str
    before: FloatArray
    after: FloatArray
    spread: float

    @property
    def moved(self) -> float:
        """How far the middle moved, over half the width of the band before."""
        half = np.log(self.before[2] / self.before[0]) / 2.0
        return float(abs(np.log(self.after[1] / self.before[1])) / half)


def constant_answers(
    meanings: Sequence[Meaning], scores: FloatArray
) -> tuple[ConstantAnswer, ...]:
    """Return every constant that is uncertain at all.

    Parameters
    ----------
    meanings : of the scores
    scores : (s, d) known after the fit
    """
    found = []
    for meaning, own in zip(meanings, scores.T, strict=True):
        before = np.sort(meaning.at(np.array(BAND_SCORES)))
        if before[2] == before[0]:
            continue
        after = np.quantile(meaning.at(own), BAND)
        width = np.log(before[2] / before[0])
        member, _, constant = meaning.name.rpartition(": ")
        is_force = meaning.unit == FORCE_FACTOR
        found.append(
            ConstantAnswer(
                name=meaning.name,
                member=member,
                what="force by its torque" if is_force else _words(constant),
                before=before / before[1],
                after=after / before[1],
                spread=float(np.log(after[2] / after[0]) / width),
            )
        )
    return tuple(found)


def _words(constant: str) -> str:
    return IN_WORDS.get(constant, constant)
