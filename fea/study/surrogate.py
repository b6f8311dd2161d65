"""A smooth stand-in for the solver: a Gaussian process through the designs."""

import warnings
from collections.abc import Mapping, Sequence
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
    from sklearn.gaussian_process.kernels import Kernel

# With fewer designs than this a variable, and than these in all, nothing is learnt.
DESIGNS_A_VARIABLE, LEAST_DESIGNS = 3, 8
# The lengths of a smooth surface are learnt from so many; the time grows with the cube.
MOST_LEARNT = 250
RESTARTS = 2
"""Of the search for them, from other lengths: the first may end in a poor one."""
FOLDS = 5
# Of the range of a variable: how far the answer may stay alike, and how little.
LENGTHS = (0.05, 50.0)
# Of the answers' variance: meshes differ a little from design to design, and a measure
# that no variable moves is nothing but that.
NOISE = (1e-8, 1.0)
# Of the value: a measure that varies less does not vary.
LEAST_SPREAD = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Surrogate:
    """One measure over the unit cube of a study's variables.

    Parameters
    ----------
    axes : variables that take more than one value
    model : fitted
    error : root mean square of what it misses at designs that it was not fitted to
    scatter : standard deviation of what no smooth surface explains: two meshes of
        nearly the same part differ by this much
    spread : standard deviation of the measure over the designs
    """

    axes: tuple[Axis, ...]
    model: "GaussianProcessRegressor"
    error: float
    scatter: float
    spread: float

    @property
    def least_difference(self) -> float:
        """Standard deviation of the difference between two designs that are alike."""
        return float(np.sqrt(2.0)) * self.scatter

    def at(self, shares: FloatArray) -> FloatArray:
        """Return the measure at points of the unit cube. (n, d) to (n,)."""
        return np.asarray(self.model.predict(_columns(self.axes, shares)))

    def shares(self, values: Mapping[str, object]) -> FloatArray | None:
        """Return where values lie in the unit cube, None for a choice not studied."""
        if any(a.names and values[a.key] not in a.names for a in self.axes):
            return None
        return np.array([axis.share(values[axis.key]) for axis in self.axes])


def fit(study: Study, finished: Sequence[Finished], measure: str) -> Surrogate | None:
    """Fit a measure over all designs that have it; None if too few, or all alike."""
    made = (axis_of(variable) for variable in study.variables)
    axes = tuple(axis for axis in made if axis is not None)
    known = [each for each in finished if np.isfinite(value_of(each, measure))]
    if not axes or len(known) < max(LEAST_DESIGNS, DESIGNS_A_VARIABLE * len(axes)):
        return None
    values = np.array([value_of(each, measure) for each in known])
    spread = float(values.std())
    if spread <= LEAST_SPREAD * float(np.abs(values).max()):
        return None
    columns = _columns(axes, np.array([shares_of(axes, each) for each in known]))
    model = _fitted(columns, values, _kernel(columns.shape[1]), RESTARTS)
    return Surrogate(
        axes=axes,
        model=model,
        error=_held_out_error(columns, values, model.kernel_),
        scatter=spread * float(np.sqrt(model.kernel_.k2.noise_level)),
        spread=spread,
    )


def shares_of(axes: Sequence[Axis], one: Finished) -> list[float]:
    """Return where a design lies in the unit cube."""
    return [axis.share(one.design.values[axis.key]) for axis in axes]


def _columns(axes: Sequence[Axis], shares: FloatArray) -> FloatArray:
    return np.hstack([axis.columns(shares[:, i]) for i, axis in enumerate(axes)])


def _kernel(size: int) -> "Kernel":
    """Return a smooth shape with a length for each column, and scatter over it."""
    from sklearn.gaussian_process.kernels import ConstantKernel, Matern, WhiteKernel

    shape = Matern(np.ones(size), LENGTHS, nu=2.5)
    return ConstantKernel(1.0) * shape + WhiteKernel(1e-4, NOISE)


def _fitted(
    columns: FloatArray, values: FloatArray, start: "Kernel", restarts: int = 0
) -> "GaussianProcessRegressor":
    """Learn lengths and scatter, from `start` on, and lead a surface through all."""
    from sklearn.exceptions import ConvergenceWarning
    from sklearn.gaussian_process import GaussianProcessRegressor

    model = GaussianProcessRegressor(
        start, normalize_y=True, n_restarts_optimizer=restarts, random_state=SEED
    )
    some = np.random.default_rng(SEED).permutation(len(values))[:MOST_LEARNT]
    with warnings.catch_warnings():
        # A length at its bound only says that a variable does not matter.
        warnings.simplefilter("ignore", ConvergenceWarning)
        model.fit(columns[some], values[some])
    if len(some) == len(values):
        return model
    whole = GaussianProcessRegressor(model.kernel_, optimizer=None, normalize_y=True)
    return whole.fit(columns, values)


def _held_out_error(columns: FloatArray, values: FloatArray, start: "Kernel") -> float:
    """Root mean square of what fits miss at the fifth that each is not fitted to."""
    from sklearn.model_selection import KFold

    missed = np.empty_like(values)
    folds = KFold(FOLDS, shuffle=True, random_state=SEED)
    for known, held_out in folds.split(columns):
        model = _fitted(columns[known], values[known], start)
        missed[held_out] = model.predict(columns[held_out]) - values[held_out]
    return float(np.sqrt((missed**2).mean()))
