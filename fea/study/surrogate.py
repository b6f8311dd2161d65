"""A smooth stand-in for the solver: a Gaussian process through the designs."""

import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fea.case.study_section import Study
from fea.study.answer import value_of
from fea.study.axis import Axis, axis_of
from fea.study.designs import SEED
from fea.study.run import Finished
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from sklearn.gaussian_process import GaussianProcessRegressor

# With fewer designs than this a variable, and than these in all, nothing is learnt.
DESIGNS_A_VARIABLE, LEAST_DESIGNS = 3, 8
FOLDS = 5
# Of the range of a variable: how far the answer may stay alike, and how little.
LENGTHS = (0.05, 50.0)
# Of the answers' variance: meshes differ a little from design to design.
NOISE = (1e-8, 1e-1)
# Points of the variance-based indices: a power of two, indices good to about 0.02.
SOBOL_POINTS = 1024
# Of the range: wide enough to see past the meshes' noise, and still a slope.
STEP = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Surrogate:
    """One measure over the unit cube of a study's variables.

    Parameters
    ----------
    axes : variables that take more than one value
    model : fitted
    error : root mean square of what it misses at designs that it was not fitted to
    spread : standard deviation of the measure over the designs
    """

    axes: tuple[Axis, ...]
    model: "GaussianProcessRegressor"
    error: float
    spread: float

    def at(self, shares: FloatArray) -> FloatArray:
        """Return the measure at points of the unit cube. (n, d) to (n,)."""
        return np.asarray(self.model.predict(_columns(self.axes, shares)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """How much one variable matters to a measure.

    Parameters
    ----------
    axis : the variable
    elasticity : per cent of the measure for one per cent of the variable; None where
        that has no meaning: a choice, or a range that holds 0
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


def fit(
    study: Study, finished: Sequence[Finished], measure: str
) -> Surrogate | None:
    """Fit a measure over all computed designs; None if they are too few."""
    made = (axis_of(variable) for variable in study.variables)
    axes = tuple(axis for axis in made if axis is not None)
    solved = [each for each in finished if each.outcome.reason is None]
    if not axes or len(solved) < max(LEAST_DESIGNS, DESIGNS_A_VARIABLE * len(axes)):
        return None
    shares = np.array([shares_of(axes, each) for each in solved])
    values = np.array([value_of(each, measure) for each in solved])
    columns = _columns(axes, shares)
    return Surrogate(
        axes=axes,
        model=_fitted(columns, values),
        error=_held_out_error(columns, values),
        spread=float(values.std()),
    )


def shares_of(axes: Sequence[Axis], one: Finished) -> list[float]:
    """Return where a design lies in the unit cube."""
    return [axis.share(one.design.values[axis.key]) for axis in axes]


def sensitivities(surrogate: Surrogate, about: Finished) -> tuple[Sensitivity, ...]:
    """Return how much every variable matters: slopes about a design, and over all."""
    from scipy.stats import sobol_indices, uniform

    point = np.array(shares_of(surrogate.axes, about))
    if len(point) == 1:
        first, total = np.ones(1), np.ones(1)
    else:
        found = sobol_indices(
            func=lambda shares: surrogate.at(shares.T),
            n=SOBOL_POINTS,
            dists=[uniform()] * len(point),
            rng=SEED,
        )
        first, total = found.first_order, found.total_order
    return tuple(
        _sensitivity(surrogate, point, i, (float(first[i]), float(total[i])))
        for i in range(len(point))
    )


def _sensitivity(
    surrogate: Surrogate, point: FloatArray, i: int, shares: tuple[float, float]
) -> Sensitivity:
    axis = surrogate.axes[i]
    elasticity = slope = None
    if not axis.names:
        width = axis.high - axis.low
        relative = _relative_slope(surrogate, point, i) / width
        slope = 100.0 * relative
        if axis.low * axis.high > 0.0:
            elasticity = relative * (axis.low + point[i] * width)
    return Sensitivity(
        axis=axis,
        elasticity=elasticity,
        slope_percent=slope,
        first=shares[0],
        total=shares[1],
    )


def _relative_slope(surrogate: Surrogate, point: FloatArray, i: int) -> float:
    """Slope over value along one side of the cube, by differences within it."""
    pair = np.vstack([point, point])
    pair[:, i] = np.clip([point[i] - STEP, point[i] + STEP], 0.0, 1.0)
    low, high = surrogate.at(pair)
    return float((high - low) / (pair[1, i] - pair[0, i]) / surrogate.at(point[None])[0])


def _columns(axes: Sequence[Axis], shares: FloatArray) -> FloatArray:
    return np.hstack([axis.columns(shares[:, i]) for i, axis in enumerate(axes)])


def _fitted(columns: FloatArray, values: FloatArray) -> "GaussianProcessRegressor":
    from sklearn.exceptions import ConvergenceWarning
    from sklearn.gaussian_process import GaussianProcessRegressor
    from sklearn.gaussian_process.kernels import ConstantKernel, Matern, WhiteKernel

    shape = Matern(np.ones(columns.shape[1]), LENGTHS, nu=2.5)
    kernel = ConstantKernel(1.0) * shape + WhiteKernel(1e-4, NOISE)
    model = GaussianProcessRegressor(
        kernel, normalize_y=True, n_restarts_optimizer=2, random_state=SEED
    )
    with warnings.catch_warnings():
        # A length at its bound only says that a variable does not matter.
        warnings.simplefilter("ignore", ConvergenceWarning)
        model.fit(columns, values)
    return model


def _held_out_error(columns: FloatArray, values: FloatArray) -> float:
    """Root mean square of what fits miss at the fifth that each is not fitted to."""
    from sklearn.model_selection import KFold

    missed = np.empty_like(values)
    folds = KFold(FOLDS, shuffle=True, random_state=SEED)
    for known, held_out in folds.split(columns):
        model = _fitted(columns[known], values[known])
        missed[held_out] = model.predict(columns[held_out]) - values[held_out]
    return float(np.sqrt((missed**2).mean()))
