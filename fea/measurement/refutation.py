"""Whether the records refute the model itself: a posterior predictive check.

Records are made up by the fitted model, again and again, and the scatter of the true
ones about the fit is held against theirs (Gelman, Meng & Stern, Statistica Sinica 6
(1996) 733, from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fea.measurement.likelihood import Measured, arguments, losses
from fea.measurement.observation import Observation
from geometry.pad import FloatArray

SEED = 43  # any: fixes the records that are made up
REFUTED = 0.01
"""Chance below which such scatter is not taken for chance."""
ODD = 3.0
"""Standard deviations beyond which a number is held to be odd."""
ODD_CHANCE = 0.01
"""Chance of a grade, or of chatter, below which it is held to be odd."""
FEW = 0.1
"""Share of the records up to which odd ones are rather wrong than the model."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Refutation:
    """What the check says.

    Parameters
    ----------
    chance : of a scatter as large as that of the records, if the model is right
    chance_without : the same without the odd records
    odd : records that the fitted model does not expect
    refuted : whether the model is to be doubted, and not only a few records
    """

    chance: float
    chance_without: float
    odd: tuple[Observation, ...]
    refuted: bool


def refutation(of: Measured, values: FloatArray, eye: FloatArray) -> Refutation:
    """Hold what was observed against predictions of the posterior's sets.

    Parameters
    ----------
    of : what was observed
    values : (s, n) predictions
    eye : (s,) factor on the threshold of eyes
    """
    found = arguments(of, values, eye)
    odd = _odd(of, found)
    chance = _chance(found[:, of.is_number])
    kept = of.is_number & ~odd
    without = _chance(found[:, kept])
    few = odd.sum() <= max(1.0, FEW * len(odd))
    return Refutation(
        chance=chance,
        chance_without=without,
        odd=_chosen(of.seen, odd),
        refuted=without < REFUTED or (chance < REFUTED and not few),
    )


def _odd(of: Measured, found: FloatArray) -> NDArray[np.bool_]:
    """Which observations the sets do not expect. (n,)."""
    numbers = np.abs(np.median(found, axis=0)) > ODD
    likely = np.exp(-losses(of, found)).mean(axis=0)
    return np.asarray(np.where(of.is_number, numbers, likely < ODD_CHANCE))


def _chance(found: FloatArray) -> float:
    """Chance of a larger sum of squares than that of residuals (s, n)."""
    if found.shape[1] == 0:
        return 1.0
    random = np.random.default_rng(SEED)
    made_up = random.chisquare(found.shape[1], len(found))
    return float(np.mean(made_up >= (found**2).sum(axis=1)))


def _chosen(
    seen: Sequence[Observation], which: NDArray[np.bool_]
) -> tuple[Observation, ...]:
    return tuple(each for each, yes in zip(seen, which, strict=True) if yes)
