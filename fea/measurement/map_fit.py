"""The most probable scores: prior and losses together, by least squares.

Every loss l is written as half the square of a pseudo-residual sign(a) sqrt(2 l), so
that scipy's search for least squares finds the maximum of the posterior, whatever kind
the observations are of.
"""

from dataclasses import dataclass

import numpy as np

from fea.measurement.forward_model import STEP, ForwardModel, Slip, around
from fea.measurement.likelihood import (
    FREEDOM,
    Measured,
    arguments,
    losses,
    measured,
    slopes,
)
from fea.measurement.observation import Kind, of_kind
from geometry.pad import FloatArray

ROUNDS = 3
"""How often what slip adds is found anew about the scores found so far."""
SETTLED = 1.0
"""Of a score: where a round moves none by more, slip need not be found again. Sets of
the posterior scatter as far about it, and take its lines too."""
SEARCH = 0.03
"""Relative change of scores at which a search ends: below the posterior's own width,
and its sets are weighed by the true posterior anyway."""
FLAT = 1e-3
"""Relative change of the loss at which a search ends, likewise."""
STEEPEST = 1.0
"""Change of the logarithm of a limit by a score: more than any constant's own band."""
MOST = 25  # evaluations in a search; five to ten are usual
SMALL = 1e-6  # pseudo-residual below which its slope is that at 0
CENTRE = float(np.sqrt((FREEDOM + 1.0) / FREEDOM))
"""Slope of the pseudo-residual of Student's t at a residual of 0."""


@dataclass(frozen=True, kw_only=True)
class MapFit:
    """Maximum of the posterior, and its shape there.

    Parameters
    ----------
    model, of : what was fitted to what
    slip : of push tests about the maximum
    scores : (d,)
    values : (n,) predictions there
    argument_slopes : (n, d) of the losses' arguments
    information : (d, d) second derivative of -log posterior
    """

    model: ForwardModel
    of: Measured
    slip: Slip
    scores: FloatArray
    values: FloatArray
    argument_slopes: FloatArray
    information: FloatArray


def map_fit(model: ForwardModel, slip: Slip) -> MapFit:
    """Fit scores to all observations of a model.

    `slip` about scores of 0.
    """
    of = measured(model.seen)
    for _ in range(ROUNDS):
        found = _search(model, of, slip, slip.scores)
        if float(np.abs(found.scores - slip.scores).max()) < SETTLED:
            break
        slip = model.slip(found.scores)
    _, second = slopes(of, found.arguments)
    by_score = found.slopes
    information = np.eye(len(found.scores)) + by_score.T @ (second[:, None] * by_score)
    return MapFit(
        model=model,
        of=of,
        slip=slip,
        scores=found.scores,
        values=found.values,
        argument_slopes=by_score,
        information=information,
    )


def loss_of(
    model: ForwardModel, of: Measured, values: FloatArray, scores: FloatArray
) -> FloatArray:
    """-log of the posterior, but for a constant, at scores (s, d). (s,).

    `values` (s, n) are predicted there.
    """
    found = arguments(of, values, model.unknowns.eye_factor(scores))
    return np.asarray(losses(of, found).sum(axis=1) + (scores**2).sum(axis=1) / 2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """What is known at one set of scores.

    Parameters
    ----------
    scores : (d,)
    values, arguments : (n,) predicted, and of the losses
    slopes : (n, d) of the arguments
    """

    scores: FloatArray
    values: FloatArray
    arguments: FloatArray
    slopes: FloatArray


def _search(model: ForwardModel, of: Measured, slip: Slip, start: FloatArray) -> _Place:
    """Find the maximum of the posterior with what slip adds held to its lines.

    Slopes are taken at the start, which costs as much as ten sets of scores, and then
    follow what is found on the way (Broyden, Math. Comp. 19 (1965) 577-593).
    """
    # Slow to import, and only needed here.
    from scipy.optimize import least_squares

    been: dict[bytes, tuple[FloatArray, FloatArray]] = {}
    place = _first(model, of, slip, start)

    def residual(scores: FloatArray) -> FloatArray:
        values = model.predicted(scores[None], slip)
        found = arguments(of, values, model.unknowns.eye_factor(scores[None]))
        been[scores.tobytes()] = values[0], found[0]
        return np.concatenate([scores, _pseudo(of, found)[0]])

    def jacobian(scores: FloatArray) -> FloatArray:
        nonlocal place
        place = _gone_to(place, of, scores, *been[scores.tobytes()])
        pseudo = _pseudo(of, place.arguments[None])[0]
        first, _ = slopes(of, place.arguments)
        size = np.where(np.abs(pseudo) > SMALL, pseudo, np.inf)
        slope = np.where(np.isinf(size) & of.is_number, CENTRE, first / size)
        return np.vstack([np.eye(len(scores)), slope[:, None] * place.slopes])

    found = least_squares(
        residual,
        start,
        jac=jacobian,
        method="trf",
        xtol=SEARCH,
        ftol=FLAT,
        gtol=FLAT,
        max_nfev=MOST,
    )
    return _gone_to(place, of, found.x, *been[found.x.tobytes()])


def _gone_to(
    place: _Place,
    of: Measured,
    scores: FloatArray,
    values: FloatArray,
    found: FloatArray,
) -> _Place:
    """Correct slopes along a step by what was found at its end."""
    step = scores - place.scores
    along = place.slopes
    if step.any():
        missed = np.nan_to_num(found - place.arguments - along @ step)
        along = _bounded(of, along + np.outer(missed, step) / (step @ step))
    return _Place(scores=scores, values=values, arguments=found, slopes=along)


def _pseudo(of: Measured, found: FloatArray) -> FloatArray:
    """Pseudo-residuals of arguments (s, n); those of numbers keep their sign."""
    size = np.sqrt(2.0 * losses(of, found))
    return np.asarray(np.where(of.is_number & (found < 0.0), -size, size))


def _first(model: ForwardModel, of: Measured, slip: Slip, scores: FloatArray) -> _Place:
    """Take slopes at scores (d,) by a step along each of them."""
    rows = around(scores)
    values = model.predicted(rows, slip, near=True)
    beside = arguments(of, values, model.unknowns.eye_factor(rows))
    along = np.nan_to_num((beside[1:] - beside[0]).T / STEP)
    return _Place(
        scores=scores,
        values=values[0],
        arguments=beside[0],
        slopes=_bounded(of, along),
    )


def _bounded(of: Measured, along: FloatArray) -> FloatArray:
    """Bound slopes (n, d) where they are jumps.

    A limit of chatter jumps where another lobe takes over, which is no slope.
    """
    found = along.copy()
    jumps = of_kind(of.seen, Kind.CHATTER)
    found[jumps] = found[jumps].clip(-STEEPEST, STEEPEST)
    return found
