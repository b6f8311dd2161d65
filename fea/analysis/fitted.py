"""Constants of a calibrated case: where a fit moved them and how far they scatter now.

Scores z are standard normal before a fit. After it they are m + z - V (1 - S) V' z,
with the fitted middle m, the directions V that records tell of and what is left of the
spread along them, S. So constants that were fitted together stay together.
"""

from dataclasses import dataclass
from zlib import crc32

import numpy as np
from scipy.special import ndtr, ndtri

from fea.case.calibration_section import Calibration
from fea.case.schema import Case
from geometry.pad import FloatArray

EXPECTED = 0.5
"""Quantile of the middle of what is expected."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """What is known of constants beyond what is expected of all machines.

    Parameters
    ----------
    calibration : of the case; empty where nothing was measured
    """

    calibration: Calibration

    def knows(self, name: str) -> bool:
        """Whether a constant was fitted."""
        return name in self.calibration.constants

    def middle(self, name: str) -> float:
        """Quantile, in what is expected, of a constant's middle."""
        if not self.knows(name):
            return EXPECTED
        return float(ndtr(self.calibration.constants[name][0]))

    def quantiles(self, name: str, expected: FloatArray) -> FloatArray:
        """Quantiles (s,) of a constant, from those that were drawn as expected."""
        if not self.knows(name):
            return expected
        count = len(expected)
        middle, *shares = self.calibration.constants[name]
        less = 1.0 - np.array(self.calibration.spread)
        along = np.zeros((count, len(shares)))
        for each, row in self.calibration.constants.items():
            along += np.outer(_standard(each, count), row[1:])
        scores = middle + _standard(name, count) - (along * less) @ np.array(shares)
        return np.asarray(ndtr(scores))


def fitted(case: Case) -> Fitted:
    """Return what is known of a case's constants."""
    return Fitted(calibration=case.calibration)


def _standard(name: str, count: int) -> FloatArray:
    """Scores (s,) spread evenly as expected, in an order that the name fixes."""
    random = np.random.default_rng(crc32(name.encode()))
    return np.asarray(ndtri((random.permutation(count) + 0.5) / count))
