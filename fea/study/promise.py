"""Where the surfaces through the designs promise the best one, within the limits."""

from collections.abc import Mapping, Sequence

import numpy as np

from fea.case.field_kind import Whole
from fea.case.key_tree import kind_of
from fea.case.study_section import Study, Variable
from fea.study.axis import Axis, axis_of
from fea.study.designs import SEED, at_share
from fea.study.run import Finished
from fea.study.surrogate import Surrogate, fit
from geometry.pad import FloatArray

# Points that are looked at, over all ranges and again about the best design: a power of
# two, as Sobol's sequence wants it.
POINTS = 2048
# Of a range: how far from the best design the second half lies at most.
NEAR = 0.1
# Of a range: how far apart designs are, in one variable at least, that are solved
# together. One that is nearer would say the same.
APART = 0.1


def promising(
    study: Study, finished: Sequence[Finished], best: Finished, count: int
) -> list[Mapping[str, object]]:
    """Return the values of the designs that promise most by the first aim.

    Some that lie apart from each other, `count` at most, the best first. None where the
    designs are too few for a surface, or nothing keeps to the limits.
    """
    aim = study.aims[0]
    surfaces = _surfaces(study, finished)
    if surfaces is None:
        return []
    varied = [(v, axis) for v in study.variables if (axis := axis_of(v)) is not None]
    shares = _points(varied, best)
    worth = surfaces[aim.measure].at(shares) * (1.0 if aim.greatest else -1.0)
    for measure, end, sign in sides(study):
        worth[sign * (surfaces[measure].at(shares) - end) < 0.0] = -np.inf
    return [
        dict(best.design.values)
        | {
            variable.key: _said(variable, axis, float(share))
            for (variable, axis), share in zip(varied, point, strict=True)
        }
        for point in _best_apart(shares, worth, count)
    ]


def _best_apart(shares: FloatArray, worth: FloatArray, count: int) -> list[FloatArray]:
    """Return the points (d,) of most worth that lie apart, none without any worth."""
    chosen: list[FloatArray] = []
    left = worth.copy()
    while len(chosen) < count and np.isfinite(left.max()):
        point = shares[int(left.argmax())]
        chosen.append(point)
        left[np.abs(shares - point).max(axis=1) < APART] = -np.inf
    return chosen


def is_listed(variable: Variable) -> bool:
    """Whether a variable takes some values and none between them."""
    return bool(variable.values) or isinstance(kind_of(variable.key), Whole)


def sides(study: Study) -> list[tuple[str, float, float]]:
    """Return the ends of all limits: measure, end, 1 for a least and -1 for a most."""
    return [
        (limit.measure, end, sign)
        for limit in study.limits
        for end, sign in ((limit.low, 1.0), (limit.high, -1.0))
        if end is not None
    ]


def _surfaces(
    study: Study, finished: Sequence[Finished]
) -> dict[str, Surrogate] | None:
    """Return a surface for the first aim and every limited measure, or None."""
    found = {}
    for name in dict.fromkeys((study.aims[0].measure, *(s[0] for s in sides(study)))):
        surface = fit(study, finished, name)
        if surface is None:
            return None
        found[name] = surface
    return found


def _points(varied: Sequence[tuple[Variable, Axis]], best: Finished) -> FloatArray:
    """Points of the unit cube, lists at their values. (2 POINTS, d)."""
    from scipy.stats import qmc

    spread = qmc.Sobol(len(varied), rng=SEED).random(POINTS)
    shares = np.vstack([spread, spread])
    for column, (variable, axis) in enumerate(varied):
        if is_listed(variable):
            told = [axis.share(at_share(variable, u)) for u in spread[:, column]]
            shares[:, column] = told + told
        else:
            middle = axis.share(best.design.values[variable.key])
            near = middle + NEAR * (2.0 * spread[:, column] - 1.0)
            shares[POINTS:, column] = np.clip(near, 0.0, 1.0)
    return shares


def _said(variable: Variable, axis: Axis, share: float) -> object:
    """Return a value as the case file would say it; of a list, one of its own."""
    if not variable.values:
        return at_share(variable, share)
    return min(variable.values, key=lambda value: abs(axis.share(value) - share))
