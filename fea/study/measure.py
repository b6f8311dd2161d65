"""One design in one row: what it does in the cut and what it is to make."""

from collections.abc import Mapping

import numpy as np

from fea.case.schema import Case
from fea.study.figures import Figures
from fea.study.making import making

Row = Mapping[str, float]


def measure(case: Case, new: Figures, old: Figures) -> Row:
    """Return the numbers of a design by the columns of `fea.case.study_measure`.

    Parameters
    ----------
    new, old : of the quick-change post and the four-way block
    """
    return {**_cutting(new, old), **making(case)}


def _cutting(new: Figures, old: Figures) -> Row:
    """Compare both stacks at the deepest cut that both hold."""
    at = min(len(new.depth_mm), len(old.depth_mm)) - 1
    force, moved = new.force_n[at], new.deflection_um[at]
    row = {
        "depth_mm": float(new.depth_mm[at]),
        "stiffness_ratio": new.stiffness(at) / old.stiffness(at),
        "stiffness_n_per_um": new.stiffness(at),
        "four_way_n_per_um": old.stiffness(at),
        "deflection_um": float(moved @ force / np.linalg.norm(force)),
        "diameter_error_um": abs(float(new.diameter_error_um[at])),
        "frequency_hz": float(new.frequency_hz[0]),
        "held_depth_mm": float(new.depth_mm[-1]),
        "limit_depth_mm": float(new.limit_mm[0]),
        "four_way_limit_mm": float(old.limit_mm[0]),
    }
    safety = float(new.safety[0])
    return row if np.isnan(safety) else row | {"safety": safety}
