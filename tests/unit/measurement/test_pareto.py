"""Importance weights are trusted where they may be, and nowhere else."""

import numpy as np
import pytest

from fea.measurement.pareto import TRUSTED, smoothed

COUNT = 2000


def test_even_weights_stay_even() -> None:
    found = smoothed(np.zeros(COUNT))
    assert found.share == pytest.approx(1.0 / COUNT)
    assert found.effective == pytest.approx(COUNT)


@pytest.mark.parametrize("shape", [0.3, 0.5, 1.0])
def test_the_tail_of_a_pareto_distribution_is_told(shape: float) -> None:
    random = np.random.default_rng(3)
    weights = random.random(COUNT) ** -shape
    found = smoothed(np.log(weights))
    # 135 in the tail: a shape is then good to (1 + k) / sqrt(135), twice that.
    assert found.shape == pytest.approx(shape, abs=2.0 * (1.0 + shape) / np.sqrt(135))
    assert (found.shape < TRUSTED) == (shape < TRUSTED)


def test_shares_add_up_and_keep_their_order() -> None:
    log_weight = np.random.default_rng(4).standard_normal(256)
    share = smoothed(log_weight).share
    assert share.sum() == pytest.approx(1.0)
    assert np.all(np.diff(share[np.argsort(log_weight)]) >= 0.0)
