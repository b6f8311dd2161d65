"""From vectors that may repeat each other to fewer that do not."""

import numpy as np

from geometry.pad import FloatArray


def independent(energy: FloatArray, dependent: float) -> FloatArray:
    """Combine vectors to unit energy, without those that repeat others.

    Parameters
    ----------
    energy : (n, n) of their products in a stiffness or a compliance, any unit
    dependent : energy over the largest, of vectors scaled to one each, below which a
        combination is a repeat

    Returns
    -------
    (n, kept)
    """
    scale = 1.0 / np.sqrt(np.diag(energy))
    values, turned = np.linalg.eigh(scale[:, None] * energy * scale)
    kept = values > dependent * values[-1]
    return np.asarray(scale[:, None] * turned[:, kept] / np.sqrt(values[kept]))
