"""Modes, damping and receptance against closed forms and against direct solves.

1. Two masses on two springs in a row: roots of m1 m2 w^4 - ((k1 + k2) m2 + k2 m1) w^2 +
   k1 k2 = 0; damping ratio sum eta_i U_i / 2 sum U_i (modal strain energy: Johnson and
   Kienholz, AIAA Journal 20, 1982; from memory).
2. Cantilever: with the shapes of Euler's beam scaled to a unit mean square, the end's
   is 2 in every mode (Blevins, Formulas for Natural Frequency and Mode Shape, table
   8-1; from memory), so the effective mass there is a quarter of the beam's.
3. Receptance: (K' - w^2 M) u = f solved as it stands, K' = sum of members' K times
   1 + i eta (hysteretic damping; Ewins, Modal Testing; from memory).
4. Without damping: the same stack meshed in one piece, `fea.core.monolithic`.
"""

from dataclasses import replace
from math import pi, sqrt

import numpy as np
import pytest
from block_mesh import block_mesh, end_pad, flat_pad, material, placed
from held_bar import RIGID, HeldSection
from scipy.sparse.linalg import LinearOperator, gmres

from fea.analysis.build import FOUR_WAY, plan_stack
from fea.analysis.stack_modes import StackModes, stack_modes
from fea.case.schema import Case
from fea.core.damping import loss_factors
from fea.core.factor import Factor
from fea.core.joint import Joint, LinearLaw, PadRef
from fea.core.joint_surface import load_joint_surfaces
from fea.core.modal_model import receptance
from fea.core.monolithic import Monolith
from fea.core.reduction import Settings, reduce_part
from fea.core.stack import Part, Stack
from fea.core.surface_law import SurfaceLaw
from geometry.pad import FloatArray

SIDE, HEIGHT = 40.0, 20.0
LOSSY = 0.4  # of the upper joint, beside 0.07 of the ground


def tangents(stack: Stack) -> dict[str, FloatArray]:
    """Joints about their expected clamping."""
    return {
        joint.name: np.diag(
            joint.law.coefficient_stiffness(len(stack.jumps[joint.name]) // 3)
        )
        for joint in stack.joints
    }


def two_masses(lower: LinearLaw, upper: SurfaceLaw) -> Stack:
    """Two rigid blocks on each other on the ground; the tip is the upper one's top."""
    sizes = (SIDE, SIDE, HEIGHT)
    rigid = material(1e9, 0.3, 7850.0)
    foot = flat_pad("foot", (0.0, SIDE), (0.0, SIDE), 0.0)
    top = flat_pad("top", (0.0, SIDE), (0.0, SIDE), HEIGHT)
    mesh = block_mesh(sizes, (2, 2, 2), (foot, top))
    settings = Settings(degree=1, modes=8)
    reduced = reduce_part(mesh, (foot, top), (), 0.3, settings)
    up = np.array([0.0, 0.0, HEIGHT])
    raised = Part(
        name="upper block",
        reduced=reduced,
        material=rigid,
        origin=up,
        pads={pad.name: pad.moved(up) for pad in (foot, top)},
    )
    below = placed("lower block", reduced, rigid, (foot, top))
    ground = Joint(
        name="ground",
        lower=None,
        upper=PadRef(part="lower block", pad="foot"),
        law=lower,
    )
    between = Joint(
        name="between",
        lower=PadRef(part="lower block", pad="top"),
        upper=PadRef(part="upper block", pad="foot"),
        law=upper,
    )
    tip = PadRef(part="upper block", pad="top")
    return Stack([below, raised], [ground, between], [], tip)


def test_two_masses_in_a_row_ring_and_fade_as_the_closed_form_says() -> None:
    finish = replace(load_joint_surfaces()["ground"], loss_factor=LOSSY)
    upper = SurfaceLaw(surface=finish, pressure=1.0)
    lower = LinearLaw(first=300.0, second=400.0, normal=500.0)
    stack = two_masses(lower, upper)
    area = SIDE**2
    k1, k2, m = lower.normal * area, upper.normal * area, 7.85e-9 * area * HEIGHT
    middle, root = k1 / 2.0 + k2, sqrt((k1 / 2.0) ** 2 + k2**2)
    found = stack_modes(stack, tangents(stack)).modes
    # Middle of a square block: moving up and down neither tilts nor sways it.
    vertical = [mode for mode in found if abs(mode.tip[2]) > 1.0 - 1e-6]
    losses = loss_factors(stack)
    assert len(vertical) >= 2
    roots = ((middle - root) / m, (middle + root) / m)
    for mode, squared in zip(vertical[:2], roots, strict=True):
        # The blocks give way by 2e-5 of what the joints do.
        assert mode.frequency_hz == pytest.approx(sqrt(squared) / (2.0 * pi), rel=1e-4)
        # Motion of the upper block for 1 of the lower one, by the lower one's balance.
        ahead = (k1 + k2 - squared * m) / k2
        energy = k1, k2 * (ahead - 1.0) ** 2
        lost = losses["ground"].value * energy[0] + LOSSY * energy[1]
        assert mode.damping_ratio == pytest.approx(lost / sum(energy) / 2.0, rel=1e-3)
        mass = m * (1.0 + ahead**2) / ahead**2
        assert mode.mass_kg == pytest.approx(1000.0 * mass, rel=1e-4)


def test_a_cantilever_has_a_quarter_of_its_mass_at_its_end_in_every_mode() -> None:
    length, side = 400.0, 10.0
    sizes, counts = (length, side, side), (80, 2, 2)
    root, end = end_pad("root", sizes, 0.0), end_pad("tip", sizes, length)
    steel = material(210_000.0, 0.0, 7850.0)
    mesh = block_mesh(sizes, counts, (root, end))
    reduced = reduce_part(mesh, (root,), (end,), 0.0, Settings(degree=1, modes=30))
    wall = Joint(
        name="wall",
        lower=None,
        upper=PadRef(part="bar", pad="root"),
        law=HeldSection(stiffness=RIGID),
    )
    bar = placed("bar", reduced, steel, (root, end))
    stack = Stack([bar], [wall], [], PadRef(part="bar", pad="tip"))
    found = stack_modes(stack, tangents(stack))
    quarter = 7850e-9 * length * side**2 / 4.0
    for mode in found.modes[:4]:
        # Shear and rotary inertia: of the order of the squared slenderness of half a
        # wave, 5e-3 in the second mode.
        assert mode.mass_kg == pytest.approx(quarter, rel=5e-3)
        # Nothing but the bar gives way: half its material's loss factor.
        assert mode.damping_ratio == pytest.approx(0.001, rel=1e-3)


@pytest.fixture(scope="module")
def four_way(coarse_four_way: Stack) -> StackModes:
    return stack_modes(coarse_four_way, tangents(coarse_four_way))


def hysteretic(stack: Stack) -> np.ndarray:
    """Complex stiffness: what each member adds, times 1 + i eta."""
    losses = loss_factors(stack)
    whole = stack.stiffness_with(tangents(stack)).astype(complex)
    for part in stack.parts:
        own = stack.slices[part.name]
        bent = np.arange(own.start, own.stop - 6)
        held = part.material.youngs_modulus_mpa
        whole[bent, bent] += 1j * losses[part.name].value * held
    for name, tangent in tangents(stack).items():
        rows = stack.jumps[name]
        whole += 1j * losses[name].value * (rows.T @ tangent @ rows)
    for link in stack.links:
        row = stack.stretches[link.name]
        whole += 1j * losses[link.name].value * link.stiffness * np.outer(row, row)
    return whole


def test_modes_answer_as_a_direct_solve_with_every_members_own_loss(
    coarse_four_way: Stack, four_way: StackModes
) -> None:
    stack, natural = coarse_four_way, four_way.tip.frequency_hz
    stiffness = hysteretic(stack)
    # Modal damping leaves out that unequal losses couple the modes: a share of the loss
    # factor, 7 %, of what a peak's neighbours add to it. Off the peaks it loses in
    # proportion to the frequency and the members do not: half a width off, 0.7 of the
    # ratio of 3.4 %, and half the loss factor at rest.
    peaks, beside = natural[:7], [100.0, *(1.03 * natural[:3]), 600.0, 900.0]
    for axis, tolerance in ((peaks, 0.035), (np.array(beside), 0.04)):
        found = receptance(four_way.tip, axis)
        for frequency, modal in zip(axis, found, strict=True):
            dynamic = stiffness - (2.0 * pi * frequency) ** 2 * stack.mass
            direct = stack.tip_rows @ np.linalg.solve(dynamic, stack.tip_rows.T)
            error = np.abs(modal - direct).max()
            assert error < tolerance * np.abs(direct).max(), frequency


def test_modes_answer_as_the_stack_meshed_in_one_piece(
    coarse_case: Case, four_way: StackModes
) -> None:
    size = coarse_case.numerics.mesh_size
    whole = Monolith(plan_stack(coarse_case, FOUR_WAY), size)
    undamped = replace(four_way.tip, damping_ratio=np.zeros(20))
    factor = Factor(whole.stiffness)
    loads = whole.tip_rows.T.toarray()
    static = factor.solve(loads)
    # Below, above and far above the six lowest modes, away from each.
    for frequency in (150.0, 450.0, 700.0, 1000.0):
        omega = 2.0 * pi * frequency

        def dynamic(vector: FloatArray, omega: float = omega) -> FloatArray:
            inertia = whole.mass @ vector.reshape(-1, 1)
            return np.asarray(vector - omega**2 * factor.solve(inertia).ravel())

        # (1 - w^2 K^-1 M) u = K^-1 f: few modes lie below w, so few steps.
        operator = LinearOperator(whole.stiffness.shape, matvec=dynamic, dtype=float)
        moved = []
        for column in static.T:
            answer, failed = gmres(operator, column, rtol=1e-8, restart=60)
            assert failed == 0
            moved.append(whole.tip_rows @ answer)
        direct = np.array(moved).T
        (modal,) = receptance(undamped, np.array([frequency]))
        # The reduction, 3e-5 in compliance, and the modes left out.
        error = np.abs(modal - direct).max()
        assert error < 2e-3 * np.abs(direct).max(), frequency
