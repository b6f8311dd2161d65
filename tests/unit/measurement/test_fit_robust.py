"""Wrong readings do not carry a fit away; a wrong model is found out."""

import numpy as np
import pytest
from linear_model import LinearModel, cut, fitted, push, seen_of

from fea.measurement.likelihood import PLAIN, arguments, losses, measured
from fea.measurement.map_fit import MapFit
from fea.measurement.posterior import posterior
from fea.measurement.refutation import Refutation, refutation

COUNT, PUSHES = 10, 20
SIGMA = 1.0


def fit_of(off: np.ndarray) -> MapFit:
    """Fit readings that differ from the truth by noise and by `off`."""
    random = np.random.default_rng(5)
    slope = 4.0 * random.standard_normal((PUSHES, 3)) @ np.eye(3, COUNT)
    base = random.uniform(5.0, 15.0, PUSHES)
    clean = base + slope @ random.standard_normal(COUNT)
    readings = clean + SIGMA * random.standard_normal(PUSHES) + off
    seen = seen_of([push(float(each), SIGMA) for each in readings])
    return fitted(LinearModel(seen=seen, base=base, slope=slope))


def one_wrong() -> np.ndarray:
    return 30.0 * SIGMA * np.eye(PUSHES)[7]


def checked(fit: MapFit) -> Refutation:
    found = posterior(fit)
    return refutation(fit.of, found.values, np.ones(len(found.scores)))


def test_one_wrong_reading_does_not_move_the_fit() -> None:
    right, wrong = fit_of(np.zeros(PUSHES)), fit_of(one_wrong())
    deviation = np.sqrt(np.diag(np.linalg.inv(right.information)))
    # It would move a plain least-squares fit by several deviations.
    assert np.abs(wrong.scores - right.scores).max() < 1.0 * deviation[:3].max()


def test_records_of_a_right_model_do_not_refute_it() -> None:
    said = checked(fit_of(np.zeros(PUSHES)))
    assert not said.refuted
    assert said.chance > 0.05
    assert said.odd == ()


def test_one_wrong_reading_is_named_and_does_not_refute_the_model() -> None:
    fit = fit_of(one_wrong())
    said = checked(fit)
    assert [each is fit.of.seen[7] for each in said.odd] == [True]
    assert said.chance < 0.01
    assert not said.refuted


def test_readings_that_no_constants_give_refute_the_model() -> None:
    wave = 8.0 * SIGMA * np.where(np.arange(PUSHES) % 2, 1.0, -1.0)
    assert checked(fit_of(wave)).refuted


@pytest.mark.parametrize("motion", [3.0, 18.0, 25.0, 70.0, 300.0])
def test_one_of_the_grades_is_given_to_every_motion(motion: float) -> None:
    grades = [cut(1.0, seen=g, threshold_um=20.0) for g in ("none", "slight", "plain")]
    of = measured(seen_of([], grades))
    values = np.full((1, 3), motion)
    chance = np.exp(-losses(of, arguments(of, values, np.ones(1))))
    assert chance.sum() == pytest.approx(1.0, rel=1e-9)
    wanted = int(np.digitize(motion, [20.0, PLAIN * 20.0]))
    assert int(chance.argmax()) == wanted


def test_quiet_and_chatter_are_even_at_the_limit() -> None:
    of = measured(seen_of([], [cut(1.0, chatter=True), cut(1.0, chatter=False)]))
    chance = np.exp(-losses(of, arguments(of, np.ones((1, 2)), np.ones(1))))
    assert chance == pytest.approx(0.5)
    deep = np.exp(-losses(of, arguments(of, np.full((1, 2), 0.3), np.ones(1))))
    assert deep[0, 0] > 0.95
    assert deep[0].sum() == pytest.approx(1.0)


def test_a_grade_pulls_toward_its_interval() -> None:
    seen = seen_of([], [cut(1.0, seen="plain", threshold_um=20.0)])
    model = LinearModel(seen=seen, base=np.array([20.0]), slope=np.array([[0.8, 0.0]]))
    found = fitted(model)
    assert 20.0 < found.values[0] < 1.5 * PLAIN * 20.0
    assert found.scores[0] > 0.3
