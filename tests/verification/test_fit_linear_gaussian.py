"""A linear model with Gaussian noise has a posterior in closed form.

Precision I + A' A / sigma², mean its inverse times A' r / sigma² (Bishop, Pattern
Recognition and Machine Learning, eq. 3.49 to 3.51, from memory). Student's t with many
degrees of freedom is Gaussian noise.
"""

import numpy as np
import pytest
from linear_model import LinearModel, fitted, push, seen_of

from fea.measurement import likelihood, map_fit
from fea.measurement.map_fit import MapFit
from fea.measurement.posterior import SETS, posterior

COUNT, READINGS = 12, 9
SIGMA = 0.8


@pytest.fixture
def gaussian(monkeypatch: pytest.MonkeyPatch) -> None:
    """Take noise to be Gaussian, and the model to be free of error."""
    many = 1e7
    monkeypatch.setattr(likelihood, "FREEDOM", many)
    monkeypatch.setattr(map_fit, "FREEDOM", many)
    monkeypatch.setattr(map_fit, "CENTRE", 1.0)
    monkeypatch.setattr(
        likelihood, "MODEL_SHARE", dict.fromkeys(likelihood.MODEL_SHARE, 0.0)
    )
    monkeypatch.setattr(map_fit, "SEARCH", 1e-8)
    monkeypatch.setattr(map_fit, "FLAT", 1e-12)


@pytest.fixture
def fit(gaussian: None) -> MapFit:
    random = np.random.default_rng(3)
    slope = random.standard_normal((READINGS, COUNT))
    base = random.uniform(5.0, 50.0, READINGS)
    measured = base + slope @ random.standard_normal(COUNT)
    measured += SIGMA * random.standard_normal(READINGS)
    seen = seen_of([push(float(each), SIGMA) for each in measured])
    return fitted(LinearModel(seen=seen, base=base, slope=slope))


def exact(fit: MapFit) -> tuple[np.ndarray, np.ndarray]:
    """Mean and covariance in closed form."""
    slope = fit.model.slope  # type: ignore[attr-defined]
    off = fit.of.value - fit.model.base  # type: ignore[attr-defined]
    covariance = np.linalg.inv(np.eye(COUNT) + slope.T @ slope / SIGMA**2)
    return covariance @ slope.T @ off / SIGMA**2, covariance


def test_the_most_probable_scores_are_the_exact_mean(fit: MapFit) -> None:
    mean, _ = exact(fit)
    # The search ends where a step changes scores by 1e-8 of their size.
    assert fit.scores == pytest.approx(mean, abs=1e-6)


def test_the_information_is_the_inverse_of_the_exact_covariance(fit: MapFit) -> None:
    _, covariance = exact(fit)
    # Second derivatives by differences of 1e-4: round-off is about 1e-7.
    assert np.linalg.inv(fit.information) == pytest.approx(covariance, abs=1e-4)


def test_the_sets_have_the_exact_mean_and_spread(fit: MapFit) -> None:
    mean, covariance = exact(fit)
    found = posterior(fit)
    deviation = np.sqrt(np.diag(covariance))
    # 256 weighed sets, worth at least half as many: a mean is good to 1/11 of its
    # deviation, a deviation to 6 %; four times that, for twelve of each.
    assert found.weights.effective > SETS / 2
    assert np.abs(found.scores.mean(axis=0) - mean) == pytest.approx(
        0.0, abs=4.0 * deviation.max() / np.sqrt(SETS / 2)
    )
    assert found.scores.std(axis=0) == pytest.approx(deviation, rel=0.25)


def test_the_weights_of_an_exact_proposal_pass_their_check(fit: MapFit) -> None:
    assert posterior(fit).trusted
