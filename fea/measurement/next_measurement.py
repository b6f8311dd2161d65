"""What to measure next: the measurement that leaves a question least open.

For numbers the expected variance of the question after one more measurement follows
from the covariance of both over the sets, as in a linear Gaussian model, where it is
exact; for yes and no it is the mean over both answers.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import expit

from fea.measurement.likelihood import CHATTER_WIDTH, MODEL_SHARE
from fea.measurement.observation import Kind, Observation
from fea.measurement.record import PushReading, SpringPass, TapResult, TestCut
from geometry.pad import FloatArray

BAND = (0.05, 0.95)


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """What one more measurement is expected to tell of a question.

    Parameters
    ----------
    question : in words
    seen : what would be measured; its reading is not there yet
    expected : (3,) 5, 50 and 95 % of the reading
    left : expected standard deviation of the answer afterwards, over that now
    band_now, band_then : (2,) of the answer, 5 and 95 %; then as wide as is expected
    """

    question: str
    seen: Observation
    expected: FloatArray
    left: float
    band_now: FloatArray
    band_then: FloatArray


def gains(
    questions: Mapping[str, FloatArray],
    candidates: Sequence[Observation],
    values: FloatArray,
) -> tuple[Gain, ...]:
    """Rank candidates, for every question the best first.

    Parameters
    ----------
    questions : (s,) answer in every set, positive, by words; NaN where there is none
    candidates : what could be measured
    values : (s, n) what each set predicts of them
    """
    found = []
    for words, answer in questions.items():
        held = np.isfinite(answer) & (answer > 0.0)
        own = [
            _gain(words, answer[held], each, column)
            for each, column in zip(candidates, values[held].T, strict=True)
        ]
        found += sorted(own, key=lambda each: each.left)
    return tuple(found)


def _gain(
    words: str, answer: FloatArray, seen: Observation, column: FloatArray
) -> Gain:
    logs = np.log(answer)
    left = float(np.sqrt(variance_left(logs, seen, column)))
    now = np.quantile(logs, BAND)
    middle = np.median(logs)
    return Gain(
        question=words,
        seen=seen,
        expected=np.quantile(column, (BAND[0], 0.5, BAND[1])),
        left=left,
        band_now=np.exp(now),
        band_then=np.exp(middle + left * (now - middle)),
    )


def variance_left(answer: FloatArray, seen: Observation, column: FloatArray) -> float:
    """Expect a variance of an answer (s,) after a measurement, over that now.

    `column` (s,) is what each set predicts of it.

    Notes
    -----
    Number: 1 - c² / (v (w + sigma²)) with the variances v of the answer and w of the
    prediction and their covariance c (any text on linear Gaussian models). Chatter:
    mean over both answers of the variance with each set weighed by its chance of it.
    """
    if np.ptp(answer) == 0.0 or not np.isfinite(column).all():
        return 1.0
    if seen.kind is Kind.CHATTER and isinstance(seen.record, TestCut):
        ratio = np.log(seen.record.depth_mm / column)
        return _two_answers(answer, expit(ratio / CHATTER_WIDTH))
    covariance = np.cov(answer, column)
    noise = _noise(seen, float(np.median(np.abs(column))))
    told = covariance[0, 1] ** 2 / (covariance[1, 1] + noise**2)
    return float(1.0 - told / covariance[0, 0])


def _two_answers(answer: FloatArray, chance: FloatArray) -> float:
    left = 0.0
    for weight in (chance, 1.0 - chance):
        total = weight.sum()
        if total > 0.0:
            mean = (weight * answer).sum() / total
            left += float((weight * (answer - mean) ** 2).sum()) / len(answer)
    return left / float(answer.var())


def _noise(seen: Observation, size: float) -> float:
    """Return the standard deviation of a reading of that size."""
    return float(np.hypot(_uncertainty(seen), MODEL_SHARE[seen.kind] * size))


def _uncertainty(seen: Observation) -> float:
    record = seen.record
    if isinstance(record, PushReading | SpringPass):
        return record.uncertainty_um
    if isinstance(record, TapResult):
        is_frequency = seen.kind is Kind.FREQUENCY
        return record.frequency_sd_hz if is_frequency else record.damping_sd
    return record.uncertainty_um or 0.0
