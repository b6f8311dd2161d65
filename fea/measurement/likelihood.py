"""How well a prediction fits what was observed: a loss for every observation.

A loss is -log of the probability of the observation, less its smallest possible value
where it is a number. Numbers may be off by more than their uncertainty says (Student's
t); grades are intervals between uncertain thresholds; chatter is yes or no about an
uncertain limit. Each depends on the prediction by one argument alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from fea.measurement.observation import Kind, Observation
from fea.measurement.record import PushReading, SpringPass, TapResult, TestCut
from geometry.pad import FloatArray
from geometry.units import UM_PER_MM

FREEDOM = 4.0
"""Of Student's t: a reading far off pulls no more than one that is 2 sigma off (common
choice: Gelman et al., Bayesian Data Analysis, from memory)."""
MODEL_SHARE = {
    Kind.PUSH: 0.03,
    Kind.SPRING: 0.03,
    Kind.DEFLECTION: 0.03,
    Kind.FREQUENCY: 0.015,
    Kind.DAMPING: 0.15,
}
"""How far the model itself is off, one standard deviation over what is measured. Mesh
and joints' polynomials make 2 to 3 % of a deflection and half of that of a frequency;
damping by strain energy is taken to be good to 15 % (assumed)."""
PLAIN = 3.0
"""Motion that is plain to see, over the least that is seen at all (assumed)."""
GRADE_WIDTH = 0.2
"""Standard deviation, in ratio, of where an eye draws its lines (assumed)."""
CHATTER_WIDTH = 0.25
"""Scale of the logistic between quiet and chatter, in ratio of the depth: limits are
told no better than that (assumed)."""
WORST = 1e6
"""Loss of a prediction that does not exist, because a joint was lost."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What was observed, as arrays over all observations.

    Parameters
    ----------
    seen : the observations
    value : (n,) numbers; chatter: 1 if it did, else 0; grades: 0, 1, 2
    scale : (n,) standard deviation of a number, the model's own error included; of a
        grade the least motion seen [um]; of chatter the depth [mm]
    """

    seen: tuple[Observation, ...]
    value: FloatArray
    scale: FloatArray

    @property
    def is_number(self) -> NDArray[np.bool_]:
        """Which observations are numbers. (n,)."""
        return np.array([each.kind in MODEL_SHARE for each in self.seen], dtype=bool)


def measured(seen: Sequence[Observation]) -> Measured:
    """Return what was observed as arrays."""
    pairs = [_pair(each) for each in seen]
    value, scale = np.reshape(pairs, (-1, 2)).T
    share = np.array([MODEL_SHARE.get(each.kind, 0.0) for each in seen])
    return Measured(
        seen=tuple(seen), value=value, scale=np.hypot(scale, share * np.abs(value))
    )


def arguments(of: Measured, values: FloatArray, eye: FloatArray) -> FloatArray:
    """Return what each loss depends on, from predictions. (s, n).

    Of a number its residual over its standard deviation; of a grade log of motion over
    threshold; of chatter log of depth over limit.

    Parameters
    ----------
    of : what was observed
    values : (s, n) predictions
    eye : (s,) factor on the threshold of eyes
    """
    found = (values - of.value) / of.scale
    tiny = np.finfo(float).tiny
    for number, each in enumerate(of.seen):
        ratio = np.log(np.maximum(values[:, number], tiny) / of.scale[number])
        if each.kind is Kind.GRADE:
            found[:, number] = ratio - np.log(eye)
        elif each.kind is Kind.CHATTER:
            found[:, number] = -ratio
    return np.asarray(found)


def losses(of: Measured, arguments: FloatArray) -> FloatArray:
    """Loss of every observation at arguments (s, n); (s, n), at least 0."""
    found = (FREEDOM + 1.0) / 2.0 * np.log1p(arguments**2 / FREEDOM)
    for number, each in enumerate(of.seen):
        if each.kind is Kind.GRADE:
            found[:, number] = _grade_loss(arguments[:, number], of.value[number])
        elif each.kind is Kind.CHATTER:
            toward = np.where(of.value[number] > 0.5, -1.0, 1.0) / CHATTER_WIDTH
            found[:, number] = np.logaddexp(0.0, toward * arguments[:, number])
    return np.where(np.isnan(found), WORST, found)


def slopes(of: Measured, arguments: FloatArray) -> tuple[FloatArray, FloatArray]:
    """First and second derivative of each loss by its argument. (n,) each.

    The second is never negative: where a reading is so far off that its loss bends
    down, it is taken to say nothing.
    """
    step = 1e-4  # of arguments of order 1: round-off is 1e-8 of the second derivative
    around = arguments + step * np.array([[-1.0], [0.0], [1.0]])
    low, middle, high = losses(of, around)
    first = (high - low) / (2.0 * step)
    second = (high - 2.0 * middle + low) / step**2
    return first, np.maximum(second, 0.0)


def _grade_loss(argument: FloatArray, grade: float) -> FloatArray:
    """-log of the probability that a motion is given its grade."""
    low = argument / GRADE_WIDTH
    high = (argument - np.log(PLAIN)) / GRADE_WIDTH
    if grade == GRADES["none"]:
        return np.asarray(-log_ndtr(-low))
    if grade == GRADES["plain"]:
        return np.asarray(-log_ndtr(high))
    # Between both: seen at all, but not plain.
    seen, plain = log_ndtr(low), log_ndtr(high)
    return np.asarray(-(seen + np.log1p(-np.exp(plain - seen))))


GRADES = {"none": 0.0, "slight": 1.0, "plain": 2.0}


def _pair(seen: Observation) -> tuple[float, float]:
    """Value and scale of an observation."""
    record = seen.record
    if isinstance(record, PushReading):
        return record.reading_um, record.uncertainty_um
    if isinstance(record, SpringPass):
        larger = (record.diameter_got_mm - record.diameter_set_mm) * UM_PER_MM
        return larger, record.uncertainty_um
    if isinstance(record, TapResult):
        if seen.kind is Kind.FREQUENCY:
            return record.frequency_hz, record.frequency_sd_hz
        return record.damping_ratio, record.damping_sd
    return _of_cut(record, seen.kind)


def _of_cut(record: TestCut, kind: Kind) -> tuple[float, float]:
    if kind is Kind.CHATTER:
        return float(bool(record.chatter)), record.depth_mm
    if kind is Kind.GRADE:
        return GRADES[record.seen or "none"], record.threshold_um or UNSAID_UM
    return record.deflection_um or 0.0, record.uncertainty_um or UNSAID_UM


UNSAID_UM = 10.0
"""Least motion that an eye sees, and uncertainty of a deflection, where a record leaves
it out (assumed)."""
