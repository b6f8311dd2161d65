"""Polynomials and points of the contact pads are fine enough on the demo's stacks.

Regression of the method against itself: there is no outside number for these stacks.
"""

import numpy as np
import pytest

from fea.core import contact_model as points_of_pads
from fea.core.contact_stack import contact_model
from fea.core.equilibrium import clamp, load, tangent_compliance, tip_motion
from fea.core.stack import Stack

CUT = np.array([20.0, 150.0, -480.0])  # an ordinary roughing cut of the demo [N]
# Joints' constants are known to a factor of two; half a percent is far below that.
ENOUGH = 5e-3


@pytest.mark.parametrize("name", ["coarse_quick_change", "coarse_four_way"])
def test_clamped_compliance_hardly_depends_on_the_degree(
    name: str, request: pytest.FixtureRequest
) -> None:
    stack: Stack = request.getfixturevalue(name)
    found = []
    for degree in (3, 5):
        degrees = {joint.name: degree for joint in stack.joints}
        model = contact_model(stack, degrees)
        found.append(tangent_compliance(model, clamp(model)))
    assert np.abs(found[0] - found[1]).max() < ENOUGH * np.abs(found[1]).max()


@pytest.mark.parametrize("name", ["coarse_quick_change", "coarse_four_way"])
def test_more_points_change_little_clamped_and_under_a_cut(
    name: str, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    stack: Stack = request.getfixturevalue(name)
    compliances, motions = [], []
    for extra in (points_of_pads.EXTRA_POINTS, 3 * points_of_pads.EXTRA_POINTS):
        monkeypatch.setattr(points_of_pads, "EXTRA_POINTS", extra)
        model = contact_model(stack)
        start = clamp(model)
        compliances.append(tangent_compliance(model, start))
        loaded = load(model, start, CUT)
        motions.append(tip_motion(model, loaded) - tip_motion(model, start))
    for usual, many in (compliances, motions):
        assert np.abs(usual - many).max() < ENOUGH * np.abs(many).max()
