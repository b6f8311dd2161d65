"""Bands of 90 % hold the truth in 85 to 95 % of made-up data sets.

Truths are drawn from what is expected, records are made from them with noise, and the
band of a prediction that the records do not hold is asked whether it has the truth in
it. For a right posterior that is so in 90 % of all cases, whatever the model (Cook,
Gelman & Rubin, J. Comp. Graph. Stat. 15 (2006) 675, from memory). The model is a linear
one with as many unknowns and kinds of record as the real one, so that hundreds of fits
take seconds.
"""

import numpy as np
from linear_model import LinearModel, cut, fitted, push, seen_of

from fea.measurement.likelihood import PLAIN
from fea.measurement.observation import Kind
from fea.measurement.posterior import posterior

SETS_OF_DATA = 300
COUNT, PUSHES = 40, 10
SIGMA_UM = 1.0
SEEN_UM = 20.0
ASKED = 4  # predictions, each of a mixture of all constants


def slopes(random: np.random.Generator) -> np.ndarray:
    """Few constants matter much, many a little, as in a stack."""
    size = 0.8 ** np.arange(COUNT)
    return random.standard_normal((PUSHES + 4, COUNT)) * size


def records(
    random: np.random.Generator, base: np.ndarray, slope: np.ndarray, truth: np.ndarray
) -> LinearModel:
    """Make up ten push tests, two graded cuts and two that chatter or do not."""
    moved = slope @ truth
    # As much noise as the fit expects: the indicator's and the model's own 3 %.
    clean = base[:PUSHES] + 4.0 * moved[:PUSHES]
    noise = np.hypot(SIGMA_UM, 0.03 * clean) * random.standard_normal(PUSHES)
    pushes = [push(float(each), SIGMA_UM) for each in clean + noise]
    eye = np.exp(0.2 * random.standard_normal(2))
    motion = base[PUSHES : PUSHES + 2] * np.exp(0.5 * moved[PUSHES : PUSHES + 2]) / eye
    grades = np.array(["none", "slight", "plain"])[
        np.digitize(motion, [SEEN_UM, PLAIN * SEEN_UM])
    ]
    limit = base[PUSHES + 2 :] * np.exp(0.5 * moved[PUSHES + 2 :])
    odds = (1.0 / limit) ** (1.0 / 0.25)
    heard = random.random(2) < odds / (1.0 + odds)
    cuts = [cut(1.0, seen=str(grade), threshold_um=SEEN_UM) for grade in grades]
    cuts += [cut(1.0, chatter=bool(each)) for each in heard]
    scale = np.concatenate([np.full(PUSHES, 4.0), np.full(4, 0.5)])
    return LinearModel(
        seen=seen_of(pushes, cuts), base=base, slope=slope * scale[:, None]
    )


def test_bands_hold_the_truth_as_often_as_they_say() -> None:
    random = np.random.default_rng(7)
    base = np.concatenate([random.uniform(20.0, 40.0, PUSHES), [25.0, 50.0, 0.8, 1.4]])
    inside = []
    for _ in range(SETS_OF_DATA):
        truth = random.standard_normal(COUNT)
        model = records(random, base, slopes(random), truth)
        found = posterior(fitted(model))
        asked = slopes(random)[:ASKED]
        low, high = np.quantile(found.scores @ asked.T, [0.05, 0.95], axis=0)
        inside += list((low < asked @ truth) & (asked @ truth < high))
    assert {each.kind for each in model.seen} == {Kind.PUSH, Kind.GRADE, Kind.CHATTER}
    # 1200 answers, in groups of four that share their data: one standard deviation of
    # the share is about 1 %.
    assert 0.85 < np.mean(inside) < 0.95


def test_records_narrow_what_they_tell_of() -> None:
    random = np.random.default_rng(8)
    base = np.concatenate([random.uniform(20.0, 40.0, PUSHES), [25.0, 50.0, 0.8, 1.4]])
    slope = slopes(random)
    model = records(random, base, slope, random.standard_normal(COUNT))
    found = posterior(fitted(model))
    told = (found.scores @ slope[0]).std() / np.linalg.norm(slope[0])
    assert told < 0.5
