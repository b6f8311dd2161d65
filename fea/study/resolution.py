"""Which difference between two designs means nothing: meshes are not endlessly fine."""

from collections.abc import Sequence
from math import isfinite

from fea.case.study_measure import LIMIT_DEPTH, RATIO_TO_BLOCK, SAFETY
from fea.study.answer import value_of
from fea.study.run import Finished
from fea.study.surrogate import Surrogate

# Of a value. Measured on the study demo: from the default mesh size to 0.7 of it six
# designs all over the ranges move by 2e-4 to 4e-4 of their stiffness ratio, one against
# another by 1.6e-4 at most; three times that.
MESH_SHARE = 5e-4
BY_MESH = {
    RATIO_TO_BLOCK,
    LIMIT_DEPTH,
    SAFETY,
    "stiffness",
    "deflection",
    "diameter_error",
    "frequency",
}
"""Measures that the meshes decide; the others follow from the drawing alone."""


def resolution(
    measure: str, finished: Sequence[Finished], surrogate: Surrogate | None
) -> float:
    """Return the difference in a measure below which two designs count as equal.

    The greater of two: how far a finer mesh moves one design against another, and what
    no smooth surface through the designs explains.
    """
    scatter = 0.0 if surrogate is None else surrogate.least_difference
    if measure not in BY_MESH:
        return scatter
    sizes = (abs(value_of(each, measure)) for each in finished)
    return max(scatter, MESH_SHARE * max(filter(isfinite, sizes), default=0.0))
