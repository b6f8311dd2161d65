"""A value from repeats, and one value from two ways to find it."""

from dataclasses import dataclass
from math import sqrt

import numpy as np

from geometry.pad import FloatArray

# Deviations from the median of their magnitudes, and of a median from many values,
# both for values that scatter normally.
_PER_MEDIAN_DEVIATION = 1.4826
_OF_MEDIAN = 1.2533

# From so many repeats on a median is robust against one of them being bad.
_MANY = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A value and its standard deviation, in the same unit."""

    value: float
    deviation: float


def of_repeats(values: FloatArray, deviations: FloatArray) -> Estimate:
    """Return what repeats say, a bad one among many set aside.

    Parameters
    ----------
    values : (n,) of the repeats, at least one
    deviations : (n,) of each by itself; repeats that agree by chance are not trusted
        more than these allow
    """
    count = values.size
    alone = float(np.sqrt(np.mean(deviations**2)) / sqrt(count))
    if count == 1:
        return Estimate(value=float(values[0]), deviation=alone)
    if count < _MANY:
        scatter = float(values.std(ddof=1)) / sqrt(count)
        return Estimate(value=float(values.mean()), deviation=max(scatter, alone))
    middle = float(np.median(values))
    spread = _PER_MEDIAN_DEVIATION * float(np.median(np.abs(values - middle)))
    scatter = _OF_MEDIAN * spread / sqrt(count)
    return Estimate(value=middle, deviation=max(scatter, alone))


def combined(one: Estimate, other: Estimate | None) -> Estimate:
    """Return two ways combined, weighted by their inverse variances.

    The deviation is at least half of what they differ by: where they disagree, one of
    them is biased and nobody knows which.
    """
    if other is None:
        return one
    weight, second = one.deviation**-2, other.deviation**-2
    value = (weight * one.value + second * other.value) / (weight + second)
    alone = (weight + second) ** -0.5
    return Estimate(
        value=value, deviation=max(alone, abs(one.value - other.value) / 2.0)
    )
