"""The reduced stack against the same meshes solved in one piece.

Reference: `fea.core.monolithic`, whose joints are springs per area between the
displacements of both meshes, without polynomials and without modes left out. Required:
tip compliance within 0.1 % of its largest entry, as many natural frequencies as are
kept within 0.1 %, at the default degree and number of modes. Measured: 4e-5 and 3e-5,
on this coarse mesh as on the default one (`tests/benchmarks/reduction_error.py` has a
table).
"""

import numpy as np
import pytest

from fea.analysis.build import FOUR_WAY, QUICK_CHANGE, plan_stack
from fea.analysis.response import tip_compliance
from fea.analysis.stack_modes import MODES
from fea.case.schema import Case
from fea.core.monolithic import Monolith
from fea.core.stack import Stack

COMPLIANCE, FREQUENCY = 1e-3, 1e-3


@pytest.mark.parametrize("name", [QUICK_CHANGE, FOUR_WAY])
def test_a_reduced_stack_answers_as_the_whole_one(
    name: str, coarse_case: Case, request: pytest.FixtureRequest
) -> None:
    fixture = "coarse_" + name.replace("-", "_")
    stack: Stack = request.getfixturevalue(fixture)
    whole = Monolith(plan_stack(coarse_case, name), coarse_case.numerics.mesh_size)
    expected = whole.compliance()
    error = np.abs(tip_compliance(stack) - expected).max()
    assert error < COMPLIANCE * np.abs(expected).max()
    frequencies, _ = stack.modes(MODES)
    assert frequencies == pytest.approx(whole.frequencies(MODES), rel=FREQUENCY)
    assert whole.unknowns > 20 * stack.size
