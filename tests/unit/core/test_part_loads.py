"""What acts on the parts of a small stack, and that it leaves none out of balance."""

import numpy as np
import pytest
from block_mesh import block_mesh, flat_pad, material, placed

from fea.core.joint import Joint, LinearLaw, Link, PadRef
from fea.core.part_loads import part_loads, patch_load
from fea.core.plan import PartPlan, StackPlan
from fea.core.reduction import Settings, reduce_part
from fea.core.stack import Stack
from fea.core.stress import Loads, recover_stresses
from geometry.errors import SolveError
from geometry.mesh import PartMesh
from geometry.pad import Pad
from geometry.parts.shim_pack import ShimPack

SIZES = (40.0, 20.0, 10.0)
COUNTS = (8, 4, 3)
STEEL = material()
FORCE = np.array([300.0, 100.0, -900.0])
LAW = LinearLaw(first=2e3, second=2e3, normal=4e3)

FOOT = flat_pad("foot", (0.0, 40.0), (0.0, 20.0), 0.0)
FACE = flat_pad("face", (0.0, 40.0), (0.0, 20.0), 10.0)
ROOT = flat_pad("bolt root", (15.0, 25.0), (5.0, 15.0), 0.0)
HEAD = flat_pad("bolt head", (15.0, 25.0), (5.0, 15.0), 20.0)
TIP = flat_pad("tip", (0.0, 5.0), (0.0, 5.0), 20.0)


def plate(
    name: str, height: float, contacts: tuple[Pad, ...], patches: tuple[Pad, ...]
) -> PartPlan:
    return PartPlan(
        name=name,
        shape=ShimPack(length=40.0, width=20.0, height=10.0),
        material=STEEL,
        origin=(0.0, 0.0, height),
        contacts=contacts,
        patches=patches,
    )


# The lower plate stands on ground by its foot; a bolt from there holds the upper one.
PLAN = StackPlan(
    name="two plates",
    parts=(
        plate("lower", 0.0, (FACE,), (ROOT,)),
        plate("upper", 10.0, (FACE,), (HEAD, TIP)),
    ),
    joints=(
        Joint(
            name="ground",
            lower=None,
            upper=PadRef(part="lower", pad="foot"),
            law=LAW,
        ),
        Joint(
            name="face",
            lower=PadRef(part="lower", pad="face"),
            upper=PadRef(part="upper", pad="face"),
            law=LAW,
        ),
    ),
    links=(
        Link(
            name="bolt",
            lower=PadRef(part="lower", pad="bolt root"),
            upper=PadRef(part="upper", pad="bolt head"),
            stiffness=5e4,
            preload=0.0,
        ),
    ),
    tip=PadRef(part="upper", pad="tip"),
)
CONTACTS = {"lower": (FOOT, FACE), "upper": (FACE,)}


def mesh_and_pads(part: PartPlan) -> tuple[PartMesh, tuple[Pad, ...]]:
    pads = part.own((*CONTACTS[part.name], *part.patches))
    return block_mesh(SIZES, COUNTS, pads), pads


@pytest.fixture(scope="module")
def loads() -> dict[str, Loads]:
    """Of the linear stack under a force at its tip."""
    parts = []
    for part in PLAN.parts:
        mesh, _ = mesh_and_pads(part)
        contacts, patches = part.own(CONTACTS[part.name]), part.own(part.patches)
        nu = part.material.poissons_ratio
        reduced = reduce_part(mesh, contacts, patches, nu, Settings(degree=3, modes=2))
        pads = (*CONTACTS[part.name], *part.patches)
        parts.append(placed(part.name, reduced, STEEL, pads))
    stack = Stack(parts, PLAN.joints, PLAN.links, PLAN.tip)
    state = stack.respond(stack.tip_rows.T @ FORCE)
    held, slices, end = [], {}, 0
    for joint in PLAN.joints:
        jump = stack.jumps[joint.name] @ state
        held.append(LAW.coefficient_stiffness(len(jump) // 3) * jump)
        slices[joint.name] = slice(end, end + len(jump))
        end += len(jump)
    (bolt,) = PLAN.links
    held.append(np.atleast_1d(bolt.stiffness * stack.stretches["bolt"] @ state))
    slices["bolt"] = slice(end, end + 1)
    return part_loads(PLAN, slices, np.concatenate(held), FORCE)


def test_every_part_is_in_balance(loads: dict[str, Loads]) -> None:
    for part in PLAN.parts:
        mesh, pads = mesh_and_pads(part)
        (field,) = recover_stresses(
            mesh, pads, STEEL.poissons_ratio, [loads[part.name]], name=part.name
        )
        assert field.von_mises.max() > 1.0


def test_one_load_turned_round_is_out_of_balance(loads: dict[str, Loads]) -> None:
    upper = PLAN.parts[1]
    mesh, pads = mesh_and_pads(upper)
    turned = {**loads["upper"], "face": -loads["upper"]["face"]}
    with pytest.raises(SolveError, match="upper: what acts on it is not in balance"):
        recover_stresses(mesh, pads, STEEL.poissons_ratio, [turned], name="upper")


def test_a_joint_acts_on_its_two_parts_alike_and_opposite(
    loads: dict[str, Loads],
) -> None:
    assert loads["lower"]["face"] == pytest.approx(-loads["upper"]["face"])
    pressed = loads["upper"]["face"][2] * np.sqrt(FACE.area)
    bolt = loads["upper"]["bolt head"][2] * np.sqrt(HEAD.area)
    # The tip pushes down and the bolt pushes up as it is shortened.
    assert pressed + bolt == pytest.approx(-FORCE[2], rel=1e-6)
    assert pressed > 0.0
    assert bolt > 0.0


def test_the_ground_bears_the_force_at_the_tip(loads: dict[str, Loads]) -> None:
    foot = loads["lower"]["foot"][:3] * np.sqrt(FOOT.area)
    assert foot == pytest.approx(-FORCE, rel=1e-6)


def test_force_on_a_patch_is_along_the_axes_of_the_patch() -> None:
    wall = Pad(
        name="wall",
        centre=(0.0, 0.0, 0.0),
        first=(0.0, 1.0, 0.0),
        second=(0.0, 0.0, 1.0),
        half_sizes=(2.0, 1.0),
    )
    found = patch_load(wall, np.array([5.0, 6.0, 7.0]))
    assert found == pytest.approx(np.array([6.0, 7.0, 5.0]) / np.sqrt(8.0))
