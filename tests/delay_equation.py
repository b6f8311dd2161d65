"""Growth of a linear cut in one revolution, by collocation of its equation in time.

Modes q of unit mass under the force on the tool, u = shapes' q:

    q'' + 2 zeta w q' + w² q = shapes F,   F = -K (u(t) - u(t - T)) - D/v u'

On one revolution q and q' are polynomials through Chebyshev points, which meet the
equation at every point but the first, where they go on from the revolution before
(Trefethen, Spectral Methods in MATLAB: the differentiation matrix; Butcher et al.,
Int. J. Numer. Meth. Engng 59 (2004) 895: delay equations; both from memory). The cut
is stable if the map from one revolution to the next has no eigenvalue outside of the
unit circle. Nothing here knows of receptances or frequencies of chatter.
"""

import numpy as np

from fea.core.modal_model import ModalModel
from geometry.pad import FloatArray

POINTS_A_WAVE = 4.0
"""Polynomials need pi for a wave; the rest of the points buys accuracy."""
SPARE_POINTS = 16


def growth_rate(
    model: ModalModel, cutting: FloatArray, drag: FloatArray, period: float
) -> float:
    """Rate at which the fastest growing vibration grows, below 0 if all die. [1/s].

    Parameters
    ----------
    model : modes; a residual is not modelled
    cutting : (3, 3) dynamic cutting matrix K [N/mm]
    drag : (3, 3) process damping D/v [N s/mm]
    period : of a revolution [s]
    """
    now, delayed = _state_matrices(model, cutting, drag)
    points = _points(float(model.frequency_hz.max()) * period)
    slope = 2.0 / period * _differentiation(points)
    size, seen = len(now), model.shapes[:, :2]
    look = np.hstack([seen.T, np.zeros_like(seen.T)])
    # Latest point first: the last one is the end of the revolution before.
    left = np.kron(slope[:-1, :-1], np.eye(size)) - np.kron(np.eye(points), now)
    waves = np.kron(np.eye(points), delayed)
    start = -np.kron(slope[:-1, -1:], np.eye(size))
    found = np.linalg.solve(left, np.hstack([waves, start]))
    kept = np.kron(np.eye(points), look) @ found
    revolution = np.vstack([kept, found[:size]])
    return float(np.log(np.abs(np.linalg.eigvals(revolution)).max()) / period)


def _state_matrices(
    model: ModalModel, cutting: FloatArray, drag: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Of the state (q, q') now, and of the motion x, y one revolution before."""
    shapes, natural = model.shapes, 2.0 * np.pi * model.frequency_hz
    rest, still = np.zeros((len(natural), len(natural))), np.zeros((len(natural), 2))
    spring = np.diag(natural**2) + shapes @ cutting @ shapes.T
    damper = np.diag(2.0 * model.damping_ratio * natural) + shapes @ drag @ shapes.T
    now = np.block([[rest, np.eye(len(natural))], [-spring, -damper]])
    # Motion along z is not felt by the chip: the last column of K is 0.
    return now, np.vstack([still, shapes @ cutting[:, :2]])


def _points(waves: float) -> int:
    return int(np.ceil(POINTS_A_WAVE * waves)) + SPARE_POINTS


def _differentiation(count: int) -> FloatArray:
    """Slopes at `count` + 1 Chebyshev points of [-1, 1] from the values, 1 first."""
    at = np.cos(np.pi * np.arange(count + 1) / count)
    weight = (-1.0) ** np.arange(count + 1)
    weight[[0, -1]] *= 2.0
    matrix = np.outer(weight, 1.0 / weight) / (
        at[:, None] - at[None] + np.eye(count + 1)
    )
    return np.asarray(matrix - np.diag(matrix.sum(axis=1)))
