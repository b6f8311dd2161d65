"""How uncertain constants are distributed: log-normally, by 5 and 95 % points."""

import numpy as np
from scipy.special import ndtri

from geometry.pad import FloatArray

BAND = (0.05, 0.95)
WIDTH = float(ndtri(BAND[1]))  # of the band's half, in standard deviations


def log_normal(quantile: FloatArray, low: float, high: float) -> FloatArray:
    """Values with these 5 and 95 % points. (s,)."""
    return split_log_normal(quantile, low, float(np.sqrt(low * high)), high)


def split_log_normal(
    quantile: FloatArray, low: float, middle: float, high: float
) -> FloatArray:
    """Values with these 5, 50 and 95 % points, log-normal on either side. (s,)."""
    away = ndtri(quantile) / WIDTH
    width = np.where(away > 0.0, np.log(high / middle), np.log(middle / low))
    return np.asarray(middle * np.exp(away * width))
