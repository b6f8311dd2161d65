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
SETTLED = 0.3
"""Of a score: where a round moves none by more, slip need not be found again, for it
runs straight that far."""
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


def map_fit(model: ForwardModel) -> MapFit:
    """Fit scores to all observations of a model."""
    of = measured(model.seen)
    scores = np.zeros(model.unknowns.count)
    slip = model.slip(scores)
    for _ in range(ROUNDS):
        found = _search(model, of, slip, scores)
        moved = float(np.abs(found - slip.scores).max())
        scores = found
        if moved < SETTLED:
            break
        slip = model.slip(scores)
    values, beside = _around(model, of, slip, scores)
    _, second = slopes(of, beside[0])
    by_score = _derivative(of, beside)
    information = np.eye(len(scores)) + by_score.T @ (second[:, None] * by_score)
    return MapFit(
        model=model,
        of=of,
        slip=slip,
        scores=scores,
        values=values,
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


def _search(
    model: ForwardModel, of: Measured, slip: Slip, start: FloatArray
) -> FloatArray:
    """Find the maximum of the posterior with what slip adds held to its lines."""
    # Slow to import, and only needed here.
    from scipy.optimize import least_squares

    def residual(scores: FloatArray) -> FloatArray:
        values = model.predicted(scores[None], slip)
        found = arguments(of, values, model.unknowns.eye_factor(scores[None]))
        return np.concatenate([scores, _pseudo(of, found)[0]])

    def jacobian(scores: FloatArray) -> FloatArray:
        _, beside = _around(model, of, slip, scores)
        pseudo = _pseudo(of, beside[:1])[0]
        first, _ = slopes(of, beside[0])
        size = np.where(np.abs(pseudo) > SMALL, pseudo, np.inf)
        slope = np.where(np.isinf(size) & of.is_number, CENTRE, first / size)
        return np.vstack(
            [np.eye(len(scores)), slope[:, None] * _derivative(of, beside)]
        )

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
    return np.asarray(found.x)


def _pseudo(of: Measured, found: FloatArray) -> FloatArray:
    """Pseudo-residuals of arguments (s, n); those of numbers keep their sign."""
    size = np.sqrt(2.0 * losses(of, found))
    return np.asarray(np.where(of.is_number & (found < 0.0), -size, size))


def _around(
    model: ForwardModel, of: Measured, slip: Slip, scores: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Predictions (n,) at scores (d,); arguments there and a step along each score."""
    rows = around(scores)
    values = model.predicted(rows, slip, near=True)
    return values[0], arguments(of, values, model.unknowns.eye_factor(rows))


def _derivative(of: Measured, beside: FloatArray) -> FloatArray:
    """Return derivatives (n, d) from arguments (d + 1, n) at a point and a step off it.

    A limit of chatter jumps where another lobe takes over, which is no slope.
    """
    found = np.nan_to_num((beside[1:] - beside[0]).T / STEP)
    jumps = of_kind(of.seen, Kind.CHATTER)
    found[jumps] = found[jumps].clip(-STEEPEST, STEEPEST)
    return np.asarray(found)
