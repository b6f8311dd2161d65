"""Importance weights, and whether they can be trusted: Pareto smoothing.

Vehtari, Simpson, Gelman, Yao & Gabry, Pareto smoothed importance sampling, J. Machine
Learning Research 25 (2024); the tail's shape after Zhang & Stephens, Technometrics 51
(2009) 316 (both from memory).
"""

from dataclasses import dataclass

import numpy as np

from geometry.pad import FloatArray

TRUSTED = 0.7
"""Shape of the tail up to which weights are good for means (Vehtari et al.)."""
FEWEST = 5  # in the tail, below which its shape is not told
TAIL_SHARE = 0.2  # of the sets, at most, and 3 sqrt(s) at most (Vehtari et al.)
PRIOR_COUNT, PRIOR_SHAPE = 10.0, 0.5  # weak prior on the shape (Vehtari et al.)


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """Weights of sets, smoothed, their sum 1.

    Parameters
    ----------
    share : (s,)
    shape : of the tail: below 0.5 all is well, above 0.7 they cannot be trusted
    """

    share: FloatArray
    shape: float

    @property
    def effective(self) -> float:
        """Number of independent sets that are worth as much."""
        return float(1.0 / np.sum(self.share**2))


def smoothed(log_weight: FloatArray) -> Weights:
    """Smooth the largest weights by a Pareto tail. (s,) logarithms."""
    raw = np.exp(log_weight - log_weight.max())
    count = len(raw)
    tail = int(np.ceil(min(TAIL_SHARE * count, 3.0 * np.sqrt(count))))
    order = np.argsort(raw)
    largest = order[-tail:]
    cut = raw[order[-tail - 1]]
    above = raw[largest] - cut
    if tail < FEWEST or above[0] <= 0.0:
        return Weights(share=raw / raw.sum(), shape=0.0)
    shape, scale = _tail(above)
    place = (np.arange(1, tail + 1) - 0.5) / tail
    share = raw.copy()
    share[largest] = np.minimum(cut + _quantile(place, shape, scale), raw.max())
    return Weights(share=share / share.sum(), shape=shape)


def _quantile(place: FloatArray, shape: float, scale: float) -> FloatArray:
    """Quantiles of a generalised Pareto distribution."""
    if abs(shape) < np.finfo(float).eps:
        return np.asarray(-scale * np.log1p(-place))
    return np.asarray(scale * np.expm1(-shape * np.log1p(-place)) / shape)


def _tail(above: FloatArray) -> tuple[float, float]:
    """Shape and scale of a generalised Pareto distribution. (n,) rising, above 0."""
    n = len(above)
    grid = 30 + int(np.sqrt(n))
    quarter = above[int(n / 4 + 0.5) - 1]
    spread = 1.0 - np.sqrt(grid / (np.arange(1, grid + 1) - 0.5))
    rates = spread / (3.0 * quarter) + 1.0 / above[-1]
    shapes = np.log1p(-rates[:, None] * above).mean(axis=1)
    likely = n * (np.log(-rates / shapes) - shapes - 1.0)
    weights = 1.0 / np.exp(likely - likely[:, None]).sum(axis=1)
    rate = float(np.sum(rates * weights) / np.sum(weights))
    shape = float(np.log1p(-rate * above).mean())
    scale = -shape / rate
    shape = (n * shape + PRIOR_COUNT * PRIOR_SHAPE) / (n + PRIOR_COUNT)
    return shape, scale
