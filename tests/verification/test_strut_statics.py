"""A screw that pushes over a gap: rigid motion, Coulomb's limit, no pull, moments.

Source: statics. A common rigid motion strains nothing. A prop between two faces can
push only, drags sideways at most friction times its push (Coulomb), and what drags at
its end bends its root with the gap as the arm.
"""

from dataclasses import replace

import numpy as np
import pytest
from block_mesh import material
from strut_blocks import (
    AREA,
    END,
    GAP,
    GROUND,
    LAW,
    PUSH,
    ROOT,
    STEEL,
    Struck,
    own_pads,
    rigid_motion,
    struck,
)

from fea.core.contact_model import ContactModel, ContactState
from fea.core.contact_stack import contact_model
from fea.core.equilibrium import clamp, load, tip_motion
from fea.core.part_loads import part_loads
from fea.core.stack import Stack
from fea.core.stress import Loads, recover_stresses
from geometry.errors import SolveError
from geometry.pad import FloatArray


@pytest.fixture(scope="module")
def blocks() -> Struck:
    return struck()


@pytest.fixture(scope="module")
def model(blocks: Struck) -> ContactModel:
    return contact_model(blocks.stack)


def at_end(model: ContactModel, state: ContactState) -> FloatArray:
    """What the strut puts on the lower block, along x, y, z. (3,) [N]."""
    own = model.interface.slices["strut"]
    return np.asarray(state.tractions[own] * np.sqrt(END.area))


@pytest.mark.parametrize("axis", [0, 1, 2])
def test_a_rotation_of_both_parts_together_leaves_no_jump(
    blocks: Struck, axis: int
) -> None:
    stack = blocks.stack
    turn = 1e-3 * np.eye(3)[axis]
    state = rigid_motion(stack, np.array([0.3, -0.2, 0.1]), turn)
    jump = stack.jumps["strut"] @ state / np.sqrt(END.area)
    # Root and end move by 0.3 mm; round-off of the reduction's rigid motions.
    assert np.abs(jump).max() < 1e-10
    if axis != 2:
        # Without the arm the mean motions alone would differ by turn times gap.
        apart = stack.mean_displacement(stack.joints[2].upper) @ state
        apart -= stack.mean_displacement(stack.joints[2].lower) @ state
        assert np.linalg.norm(apart) == pytest.approx(1e-3 * GAP, rel=1e-6)


def test_a_tilt_of_the_root_alone_moves_the_end_by_the_gap(blocks: Struck) -> None:
    stack = blocks.stack
    turn = np.array([0.0, 1e-3, 0.0])
    state = rigid_motion(stack, -np.cross(turn, ROOT.centre), turn)
    state[stack.slices["lower"]] = 0.0
    jump = stack.jumps["strut"] @ state / np.sqrt(END.area)
    assert jump == pytest.approx([-1e-3 * GAP, 0.0, 0.0], abs=1e-12)


def test_a_clamped_strut_pushes_with_its_force_and_drags_nothing(
    model: ContactModel,
) -> None:
    state = clamp(model)
    # Faces settle by all but 1e-4 of their stiffness, against 1e5 N/mm of ground.
    assert at_end(model, state) == pytest.approx([0.0, 0.0, -PUSH], abs=1e-3 * PUSH)


def test_its_end_drags_up_to_friction_times_push_and_then_slides(
    model: ContactModel,
) -> None:
    start = clamp(model)
    rest = tip_motion(model, start)
    limit = LAW.surface.friction * PUSH
    ground = GROUND.first * AREA
    motions, drags = [], []
    for share in (1.0, 6.0, 8.0, 10.0):
        state = load(model, start, np.array([share * limit, 0.0, 0.0]))
        found = at_end(model, state)
        motions.append((tip_motion(model, state) - rest)[0])
        drags.append(np.hypot(*found[:2]) / (-LAW.surface.friction * found[2]))
    assert drags[0] < 1.0
    # At the limit, which grows with the push that tilting changes.
    assert drags[1:] == pytest.approx([1.0, 1.0, 1.0], rel=1e-6)
    # Sliding, the bed alone holds; the blocks' own give and tilt are below a tenth.
    assert motions[3] - motions[2] == pytest.approx(2.0 * limit / ground, rel=0.1)


def held_straight(factor: float) -> tuple[Stack, ContactModel]:
    """The same blocks of a material so hard that only ground and strut give."""
    hard = material(modulus=factor * STEEL.youngs_modulus_mpa)
    soft = struck().stack
    parts = [replace(part, material=hard) for part in soft.parts]
    stack = Stack(parts, soft.joints, (), soft.joints[0].upper)
    return stack, contact_model(stack)


def test_a_strut_never_pulls() -> None:
    _, model = held_straight(1e3)
    start = clamp(model)
    rest = tip_motion(model, start)
    bed = GROUND.normal * AREA
    pushes, motions = [], []
    for pull in (1e3, 5e4, 6e4):
        state = load(model, start, np.array([0.0, 0.0, -pull]))
        pushes.append(at_end(model, state)[2])
        motions.append((tip_motion(model, state) - rest)[2])
    assert -PUSH < pushes[0] < 0.0
    assert pushes[1:] == [0.0, 0.0]
    # Once it is off, the bed alone carries what is added; blocks give 1e-5 of it.
    assert motions[2] - motions[1] == pytest.approx(-1e4 / bed, rel=1e-3)


def dragged(blocks: Struck, model: ContactModel) -> tuple[dict[str, Loads], FloatArray]:
    state = load(model, clamp(model), np.array([300.0, 200.0, -100.0]))
    slices = model.interface.slices
    loads = part_loads(blocks.plan, slices, state.tractions, state.force)
    return loads, at_end(model, state)


def test_what_drags_at_the_end_bends_the_root_and_leaves_all_in_balance(
    blocks: Struck, model: ContactModel
) -> None:
    loads, drag = dragged(blocks, model)
    assert np.hypot(*drag[:2]) > 50.0
    for part in blocks.plan.parts:
        acting = [loads[part.name]]
        nu = STEEL.poissons_ratio
        recover_stresses(
            blocks.meshes[part.name], own_pads(part), nu, acting, name=part.name
        )


def test_without_its_arm_the_drag_leaves_a_moment_over(
    blocks: Struck, model: ContactModel
) -> None:
    loads, drag = dragged(blocks, model)
    root = loads["upper"]["strut"].copy()
    root[3:] = 0.0
    upper = blocks.plan.parts[1]
    left = rf"{GAP * np.hypot(*drag[:2]) / 1000.0:.3g} N m are left over"
    with pytest.raises(SolveError, match=left):
        recover_stresses(
            blocks.meshes["upper"],
            own_pads(upper),
            STEEL.poissons_ratio,
            [{**loads["upper"], "strut": root}],
            name="upper",
        )
