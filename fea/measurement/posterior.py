"""What is known after the fit: sets of scores, each as likely as the next.

A normal distribution about the most probable scores (Laplace) proposes sets; weights by
the true posterior correct it and tell by their tail whether that can be trusted. Where
it cannot, the proposal is moved to where the weights are, and tried again.
"""

from dataclasses import dataclass, replace

import numpy as np

from fea.measurement.map_fit import MapFit, loss_of
from fea.measurement.pareto import TRUSTED, Weights, smoothed
from geometry.mesh import IntArray
from geometry.pad import FloatArray

SETS = 256  # as many as bands are made of
SEED = 41  # any: fixes the sets, so that a run can be repeated
ROUNDS = 3
WIDER = 1.1
"""The proposal is that much wider than Laplace's where records say something, so that
its tails cover the posterior's."""
INFORMED = 0.05
"""Of the prior's information; directions that records tell less of are left as they
were expected."""


@dataclass(frozen=True, kw_only=True)
class Gaussian:
    """Scores with a low-rank departure from the standard normal distribution.

    Parameters
    ----------
    middle : (d,)
    directions : (d, k) orthonormal, of which records say something
    spread : (k,) standard deviation along them; 1 along all others
    """

    middle: FloatArray
    directions: FloatArray
    spread: FloatArray

    def sets(self, standard: FloatArray) -> FloatArray:
        """Turn standard normal scores (s, d) into these. (s, d)."""
        along = standard @ self.directions
        shrunk = along * (self.spread - 1.0)
        return np.asarray(self.middle + standard + shrunk @ self.directions.T)

    def loss(self, scores: FloatArray) -> FloatArray:
        """-log of the density, but for a constant. (s, d) to (s,)."""
        off = scores - self.middle
        along = off @ self.directions
        more = (along**2 * (self.spread**-2 - 1.0)).sum(axis=1)
        return np.asarray(((off**2).sum(axis=1) + more) / 2.0)


@dataclass(frozen=True, kw_only=True)
class Posterior:
    """Sets of scores from the posterior.

    Parameters
    ----------
    scores : (s, d) equally likely
    values : (s, n) their predictions of all observations
    approximation : normal distribution that comes nearest
    weights : of the sets that these were chosen from
    rounds : in which the proposal was found
    """

    scores: FloatArray
    values: FloatArray
    approximation: Gaussian
    weights: Weights
    rounds: int

    @property
    def trusted(self) -> bool:
        """Whether the weights pass their check."""
        return self.weights.shape <= TRUSTED


def laplace(middle: FloatArray, information: FloatArray) -> Gaussian:
    """Approximate by information (d, d), which is at least the prior's."""
    values, vectors = np.linalg.eigh(information - np.eye(len(middle)))
    informed = values > INFORMED
    return Gaussian(
        middle=middle,
        directions=vectors[:, informed],
        spread=1.0 / np.sqrt(1.0 + values[informed]),
    )


def posterior(fit: MapFit) -> Posterior:
    """Sample the posterior about its maximum."""
    random = np.random.default_rng(SEED)
    shape = laplace(fit.scores, fit.information)
    best = _weighed(fit, shape, random, 1)
    for rounds in range(2, ROUNDS + 1):
        if best.trusted:
            break
        found = _weighed(fit, best.approximation, random, rounds)
        best = min(best, found, key=lambda each: each.weights.shape)
    return best


def _normal(random: np.random.Generator, count: int) -> FloatArray:
    """Return standard normal sets in pairs that mirror each other. (SETS, d)."""
    half = random.standard_normal((SETS // 2, count))
    return np.vstack([half, -half])


def _weighed(
    fit: MapFit, about: Gaussian, random: np.random.Generator, rounds: int
) -> Posterior:
    spread = np.minimum(WIDER * about.spread, 1.0)
    proposal = replace(about, spread=spread)
    scores = proposal.sets(_normal(random, fit.model.unknowns.count))
    values = fit.model.predicted(scores, fit.slip)
    true = loss_of(fit.model, fit.of, values, scores)
    weights = smoothed(proposal.loss(scores) - true)
    chosen = _resampled(weights.share, random)
    return Posterior(
        scores=scores[chosen],
        values=values[chosen],
        approximation=_moved(proposal, scores, weights),
        weights=weights,
        rounds=rounds,
    )


def _resampled(share: FloatArray, random: np.random.Generator) -> IntArray:
    """Choose sets by their weights, evenly (systematic resampling). (s,)."""
    place = (np.arange(len(share)) + random.random()) / len(share)
    return np.searchsorted(np.cumsum(share), place).clip(max=len(share) - 1)


def _moved(proposal: Gaussian, scores: FloatArray, weights: Weights) -> Gaussian:
    """Return the normal distribution with the weighted sets' mean and spread.

    Only along the directions of the proposal: along others, as many sets as these tell
    less than the prior.
    """
    along = (scores - proposal.middle) @ proposal.directions
    mean = weights.share @ along
    off = along - mean
    covariance = (weights.share * off.T) @ off
    values, turned = np.linalg.eigh(covariance)
    return Gaussian(
        middle=proposal.middle + proposal.directions @ mean,
        directions=proposal.directions @ turned,
        spread=np.sqrt(np.clip(values, np.finfo(float).eps, 1.0)),
    )
