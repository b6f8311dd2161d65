"""Which variable matters: slopes about a design, shares of the variance over all."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fea.study.axis import Axis
from fea.study.designs import SEED
from fea.study.surrogate import Surrogate
from geometry.pad import FloatArray

# Points of the variance-based indices: a power of two, indices good to about 0.01.
SOBOL_POINTS = 4096
# Of the range, to both sides: wide enough to see past the meshes' noise, still a slope.
STEP = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """How much one variable matters to a measure.

    Parameters
    ----------
    axis : the variable
    elasticity : per cent of the measure for one per cent of the variable; None where
        that has no meaning: a choice, a range that holds 0, a measure that changes sign
    slope_percent : per cent of the measure for one unit of the variable; None of a
        choice
    first, total : share of the measure's variance over the studied ranges, alone and
        with all that it does together with others
    """

    axis: Axis
    elasticity: float | None
    slope_percent: float | None
    first: float
    total: float


def sensitivities(
    surrogate: Surrogate, about: Mapping[str, object]
) -> tuple[Sensitivity, ...]:
    """Return how much every variable matters.

    Parameters
    ----------
    about : values of the design that the slopes are taken at, as the case says them
    """
    axes = surrogate.axes
    point = np.array([axis.share(about[axis.key]) for axis in axes])
    shares = variance_shares(surrogate)
    found = []
    for i, axis in enumerate(axes):
        slope, elasticity = (None, None) if axis.names else _slopes(surrogate, point, i)
        found.append(
            Sensitivity(
                axis=axis,
                elasticity=elasticity,
                slope_percent=slope,
                first=float(shares[0, i]),
                total=float(shares[1, i]),
            )
        )
    return tuple(found)


def variance_shares(surrogate: Surrogate) -> FloatArray:
    """Sobol's indices of first order and total, all values equally likely. (2, d)."""
    from scipy.stats import sobol_indices, uniform

    size = len(surrogate.axes)
    if size == 1:
        return np.ones((2, 1))
    # A surface that is flat has no variance to share out.
    with np.errstate(divide="ignore", invalid="ignore"):
        found = sobol_indices(
            func=lambda shares: surrogate.at(shares.T),
            n=SOBOL_POINTS,
            dists=[uniform()] * size,  # type: ignore[list-item]
            rng=SEED,
        )
    return np.nan_to_num(np.stack([found.first_order, found.total_order]))


def _slopes(
    surrogate: Surrogate, point: FloatArray, i: int
) -> tuple[float, float | None]:
    """Slope in per cent a unit, and elasticity, by differences within the range."""
    axis = surrogate.axes[i]
    pair = np.vstack([point, point])
    pair[:, i] = np.clip([point[i] - STEP, point[i] + STEP], 0.0, 1.0)
    numbers = axis.low + pair[:, i] * (axis.high - axis.low)
    values = surrogate.at(pair)
    rise = float(np.diff(values)[0] / np.diff(numbers)[0])
    slope = 100.0 * rise / abs(float(surrogate.at(point[None])[0]))
    if axis.low * axis.high <= 0.0 or values.prod() <= 0.0:
        return slope, None
    # In logarithms, since that is exact for a power of the variable.
    logs = np.log(np.abs(np.vstack([values, numbers])))
    return slope, float(np.diff(logs[0])[0] / np.diff(logs[1])[0])
