"""What a measurement is expected to tell, against a nested Monte Carlo on a small case.

Outer loop: a reading is drawn from a set's prediction and noise; inner: the sets are
weighed by that reading and the variance of the answer is taken. With twenty thousand
sets of a Gaussian pair the closed form 1 - rho² (w / (w + sigma²)) is exact.
"""

import numpy as np
import pytest
from linear_model import cut, push, seen_of
from scipy.special import expit

from fea.measurement.likelihood import CHATTER_WIDTH, MODEL_SHARE
from fea.measurement.next_measurement import gains, variance_left
from fea.measurement.observation import Kind

SETS, READINGS = 20_000, 400
RHO = 0.8


def pair(random: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Answer and what is read, correlated."""
    one, other = random.standard_normal((2, SETS))
    return one, RHO * one + np.sqrt(1.0 - RHO**2) * other


def nested(answer: np.ndarray, chance_of: list[np.ndarray]) -> float:
    """Mean variance of the answer over readings, sets weighed by each."""
    left = []
    for weight in chance_of:
        share = weight / weight.sum()
        mean = share @ answer
        left.append(share @ (answer - mean) ** 2)
    return float(np.mean(left) / answer.var())


@pytest.mark.parametrize("sigma", [0.2, 1.0, 3.0])
def test_a_number_tells_as_much_as_nested_sampling_says(sigma: float) -> None:
    random = np.random.default_rng(2)
    answer, read = pair(random)
    size = 40.0
    column = size + 4.0 * read
    seen = seen_of([push(0.0, 4.0 * sigma)])[0]
    noise = np.hypot(4.0 * sigma, MODEL_SHARE[Kind.PUSH] * size)
    drawn = random.choice(column, READINGS) + noise * random.standard_normal(READINGS)
    weights = [np.exp(-(((column - y) / noise) ** 2) / 2.0) for y in drawn]
    # 400 readings: a mean is good to 5 %; the noise takes the median for the mean size.
    assert variance_left(answer, seen, column) == pytest.approx(
        nested(answer, weights), rel=0.05
    )


def test_yes_or_no_tells_as_much_as_nested_sampling_says() -> None:
    random = np.random.default_rng(4)
    answer, read = pair(random)
    limit = np.exp(0.5 * read)
    seen = seen_of([], [cut(1.2, chatter=False)])[0]
    chance = expit(np.log(1.2 / limit) / CHATTER_WIDTH)
    heard = random.random(READINGS) < random.choice(chance, READINGS)
    weights = [chance if yes else 1.0 - chance for yes in heard]
    assert variance_left(answer, seen, limit) == pytest.approx(
        nested(answer, weights), rel=0.05
    )


def test_what_has_nothing_to_do_with_a_question_tells_nothing() -> None:
    random = np.random.default_rng(6)
    answer, other = random.standard_normal((2, SETS))
    seen = seen_of([push(0.0, 0.1)])[0]
    # Chance correlation of 20,000 sets.
    assert variance_left(answer, seen, 40.0 + other) > 0.999


def test_the_best_measurement_stands_first_and_narrows_the_band() -> None:
    random = np.random.default_rng(9)
    answer, read = pair(random)
    seen = seen_of([push(0.0, 30.0), push(0.0, 0.1)])
    columns = np.column_stack([40.0 + 4.0 * read, 40.0 + 4.0 * read])
    first, second = gains({"how stiff": np.exp(0.3 * answer)}, seen, columns)
    assert first.seen is seen[1]
    assert first.left < second.left < 1.0
    now, then = np.log(first.band_now), np.log(first.band_then)
    assert np.ptp(then) == pytest.approx(first.left * np.ptp(now))
