"""Two equal blocks pressed together evenly: the joint's law in series with the blocks.

Source: the law itself, closure C p^m, so stiffness p^(1-m)/(C m) per area (Levina and
Reshetov; Ito, Modular Design for Machine Tools), and a bar's E A / L. Poisson's ratio
is 0, so that the pressure stays even and the blocks are bars; then the finite elements
hold the answer exactly, and only the search's tolerance and round-off are left.
"""

import numpy as np
import pytest
from block_mesh import material
from contact_pair import (
    AREA,
    GROUND,
    HEIGHT,
    contact_pair,
    mean_closure,
    pair,
    top_face,
)

from fea.core.contact_law import ContactLaw
from fea.core.contact_model import ContactModel
from fea.core.equilibrium import (
    clamp,
    joint_tractions,
    load,
    tangent_compliance,
    tip_motion,
)
from fea.core.stack import Stack

MODULUS, CLOSURE = 100_000.0, 1.5e-3
ROUND_OFF = 1e-6
BARS = 2.0 * HEIGHT / (MODULUS * AREA) + 1.0 / (GROUND.normal * AREA)


@pytest.fixture(scope="module")
def stack() -> Stack:
    made_of = material(modulus=MODULUS, nu=0.0)
    return pair(made_of, tip=top_face("tip"), degree=2)


def pressed(stack: Stack, exponent: float, pressure: float) -> ContactModel:
    law = ContactLaw(
        closure=CLOSURE, exponent=exponent, tangential_ratio=0.6, friction=0.2
    )
    return contact_pair(stack, law, degree=2, preload=pressure * AREA)


@pytest.mark.parametrize("exponent", [0.4, 0.5, 1.0])
@pytest.mark.parametrize("pressure", [0.3, 1.0, 6.0])
def test_clamped_closure_is_c_p_to_the_m(
    stack: Stack, exponent: float, pressure: float
) -> None:
    model = pressed(stack, exponent, pressure)
    state = clamp(model)
    expected = CLOSURE * pressure**exponent
    assert mean_closure(model, state.coefficients) == pytest.approx(
        expected, rel=ROUND_OFF
    )
    found = joint_tractions(model, state)["seat"].pressure
    assert found == pytest.approx(np.full(len(found), pressure), rel=ROUND_OFF)


@pytest.mark.parametrize("exponent", [0.4, 0.5, 1.0])
@pytest.mark.parametrize("pressure", [0.3, 6.0])
def test_tangent_is_the_joint_and_the_blocks_in_series(
    stack: Stack, exponent: float, pressure: float
) -> None:
    model = pressed(stack, exponent, pressure)
    found = tangent_compliance(model, clamp(model))[2, 2]
    joint = CLOSURE * exponent * pressure ** (exponent - 1.0) / AREA
    assert found == pytest.approx(BARS + joint, rel=ROUND_OFF)


@pytest.mark.parametrize("share", [-0.8, 0.5, 3.0])
def test_a_large_force_moves_the_tip_along_the_law(stack: Stack, share: float) -> None:
    pressure, exponent = 2.0, 0.5
    preload = pressure * AREA
    model = pressed(stack, exponent, pressure)
    start = clamp(model)
    state = load(model, start, np.array([0.0, 0.0, -share * preload]))
    down = -(tip_motion(model, state) - tip_motion(model, start))[2]
    closing = CLOSURE * pressure**exponent * ((1.0 + share) ** exponent - 1.0)
    assert down == pytest.approx(closing + share * preload * BARS, rel=ROUND_OFF)
