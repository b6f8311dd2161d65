"""Reciprocity and energy: Maxwell, Clapeyron and Castigliano, on the demo's stacks.

Sources: Maxwell's theorem (compliance is symmetric), Clapeyron's (the work of the force
is twice the energy, so members' shares add up to one) and Castigliano's: the motion
along a force changes with the logarithm of one part's compliance 1/E by that part's own
share, d ln(motion)/d ln(1/E) = share. All hold exactly on any mesh: tolerances are
round-off of a solve with a condition number near 1e6, or of a difference quotient.
"""

from dataclasses import replace

import numpy as np
import pytest
from block_mesh import block_mesh, end_pad, flat_pad, material, placed

from fea.analysis.response import motion_shares, tip_compliance
from fea.core.joint import Joint, LinearLaw, PadRef
from fea.core.reduction import Settings, reduce_part
from fea.core.stack import Part, Stack

FORCE = np.array([300.0, 150.0, -800.0])
ROUND_OFF = 1e-8


@pytest.fixture(params=["coarse_quick_change", "coarse_four_way"])
def stack(request: pytest.FixtureRequest) -> Stack:
    found: Stack = request.getfixturevalue(request.param)
    return found


def test_compliance_is_symmetric(stack: Stack) -> None:
    compliance = tip_compliance(stack)
    assert (
        np.abs(compliance - compliance.T).max() < ROUND_OFF * np.abs(compliance).max()
    )
    assert np.linalg.eigvalsh(compliance).min() > 0.0


def test_shares_add_up_to_the_whole_motion(stack: Stack) -> None:
    fractions = [share.fraction for share in motion_shares(stack, FORCE)]
    assert sum(fractions) == pytest.approx(1.0, abs=1e-12)
    assert min(fractions) >= 0.0
    state = stack.respond(stack.tip_rows.T @ FORCE)
    energies = stack.energies(state, state)
    motion = FORCE @ tip_compliance(stack) @ FORCE
    assert sum(energies.values()) == pytest.approx(motion, rel=ROUND_OFF)


@pytest.mark.parametrize("name", ["tool bit", "top slide"])
def test_a_parts_share_is_what_its_modulus_is_worth(stack: Stack, name: str) -> None:
    step = 1e-3
    softer, stiffer = (
        FORCE @ tip_compliance(_scaled(stack, name, factor)) @ FORCE
        for factor in (np.exp(-step), np.exp(step))
    )
    slope = (np.log(softer) - np.log(stiffer)) / (2.0 * step)
    shares = {share.name: share.fraction for share in motion_shares(stack, FORCE)}
    # The difference is of second order in the step.
    assert slope == pytest.approx(shares[name], rel=1e-5)


def test_half_the_modulus_doubles_a_parts_own_energy() -> None:
    full, half = (_bar_on_six_springs(modulus) for modulus in (2.0e5, 1.0e5))
    # Held by six forces that statics alone gives, so the stress in it stays the same.
    energies = []
    for bar in (full, half):
        state = bar.respond(bar.tip_rows.T @ FORCE)
        energies.append(bar.energies(state, state))
    assert energies[1]["bar"] == pytest.approx(2.0 * energies[0]["bar"], rel=ROUND_OFF)
    for name in ("near", "far", "side"):
        assert energies[1][name] == pytest.approx(energies[0][name], rel=ROUND_OFF)


def _scaled(stack: Stack, name: str, factor: float) -> Stack:
    """The same stack with one part's modulus times a factor."""

    def scaled(part: Part) -> Part:
        if part.name != name:
            return part
        modulus = part.material.youngs_modulus_mpa * factor
        return replace(
            part, material=replace(part.material, youngs_modulus_mpa=modulus)
        )

    parts = [scaled(part) for part in stack.parts]
    tip = PadRef(part="tool bit", pad="tip")
    return Stack(parts, stack.joints, stack.links, tip)


def _bar_on_six_springs(modulus: float) -> Stack:
    """Bar on three pads that carry their mean motion in 3, 2 and 1 directions."""
    sizes = (60.0, 20.0, 20.0)
    pads = (
        flat_pad("near", (0.0, 10.0), (0.0, 10.0), 0.0),
        flat_pad("far", (20.0, 30.0), (0.0, 10.0), 0.0),
        flat_pad("side", (0.0, 10.0), (10.0, 20.0), 0.0),
    )
    tip = end_pad("tip", sizes, 60.0)
    mesh = block_mesh(sizes, (12, 4, 4), (*pads, tip))
    made_of = material(modulus)
    reduced = reduce_part(
        mesh, pads, (tip,), made_of.poissons_ratio, Settings(degree=0, modes=4)
    )
    k = 1e4
    laws = {
        "near": LinearLaw(first=k, second=k, normal=k),
        "far": LinearLaw(first=0.0, second=k, normal=k),
        "side": LinearLaw(first=0.0, second=0.0, normal=k),
    }
    joints = [
        Joint(name=name, lower=None, upper=PadRef(part="bar", pad=name), law=law)
        for name, law in laws.items()
    ]
    part = placed("bar", reduced, made_of, (*pads, tip))
    return Stack([part], joints, [], PadRef(part="bar", pad="tip"))
