"""Two blocks, one over the other with a gap, and a strut of the upper one between."""

from dataclasses import dataclass

import numpy as np
from block_mesh import block_mesh, flat_pad, material, placed

from fea.core.joint import Joint, LinearLaw, PadRef
from fea.core.joint_surface import load_joint_surfaces
from fea.core.pad_functions import PadFunctions
from fea.core.plan import PartPlan, StackPlan
from fea.core.reduction import Settings, reduce_part
from fea.core.stack import Stack
from fea.core.strut import StrutLaw
from geometry.mesh import PartMesh
from geometry.pad import FloatArray, Pad
from geometry.parts.shim_pack import ShimPack

SIZES = (40.0, 20.0, 10.0)
COUNTS = (8, 4, 2)
GAP = 4.0
STEEL = material()
GROUND = LinearLaw(first=100.0, second=100.0, normal=200.0)
PUSH = 3000.0
AREA = SIZES[0] * SIZES[1]

FOOT = flat_pad("foot", (0.0, 40.0), (0.0, 20.0), 0.0)
ROOF = flat_pad("roof", (0.0, 40.0), (0.0, 20.0), 2.0 * SIZES[2] + GAP)
END = flat_pad("strut", (10.0, 20.0), (5.0, 15.0), SIZES[2])
ROOT = END.moved((0.0, 0.0, GAP))
TIP = flat_pad("tip", (10.0, 30.0), (5.0, 15.0), 0.0)
CONTACTS = {"lower": (FOOT,), "upper": (ROOF,)}
LAW = StrutLaw(
    surface=load_joint_surfaces()["milled"],
    force=PUSH,
    area=END.area,
    bearing=25.0,
    axial=8e5,
    lateral=3e5,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Struck:
    """The plan, its stack, and meshes and pads of its parts in their own frames."""

    plan: StackPlan
    stack: Stack
    meshes: dict[str, PartMesh]


def own_pads(part: PartPlan) -> tuple[Pad, ...]:
    return part.own((*CONTACTS[part.name], *part.patches))


def plan(law: StrutLaw = LAW) -> StackPlan:
    """The lower block stands on ground, the upper one hangs on it; force on `tip`."""
    shape = ShimPack(length=SIZES[0], width=SIZES[1], height=SIZES[2])
    parts = tuple(
        PartPlan(
            name=name,
            shape=shape,
            material=STEEL,
            origin=(0.0, 0.0, height),
            contacts=CONTACTS[name],
            patches=patches,
        )
        for name, height, patches in (
            ("lower", 0.0, (END, TIP)),
            ("upper", SIZES[2] + GAP, (ROOT,)),
        )
    )
    joints = (
        Joint(name="bed", lower=None, upper=ref("lower", "foot"), law=GROUND),
        Joint(name="ceiling", lower=None, upper=ref("upper", "roof"), law=GROUND),
        Joint(
            name="strut",
            lower=ref("lower", "strut"),
            upper=ref("upper", "strut"),
            law=law,
            strut=True,
        ),
    )
    return StackPlan(
        name="strut", parts=parts, joints=joints, links=(), tip=ref("lower", "tip")
    )


def struck(law: StrutLaw = LAW) -> Struck:
    drawn = plan(law)
    meshes, parts = {}, []
    for part in drawn.parts:
        meshes[part.name] = block_mesh(SIZES, COUNTS, own_pads(part))
        contacts, patches = part.own(CONTACTS[part.name]), part.own(part.patches)
        reduced = reduce_part(
            meshes[part.name],
            contacts,
            patches,
            STEEL.poissons_ratio,
            Settings(degree=3, modes=2),
        )
        pads = (*CONTACTS[part.name], *part.patches)
        parts.append(placed(part.name, reduced, STEEL, pads))
    stack = Stack(parts, drawn.joints, (), drawn.tip)
    return Struck(plan=drawn, stack=stack, meshes=meshes)


def ref(part: str, pad: str) -> PadRef:
    return PadRef(part=part, pad=pad)


def rigid_motion(stack: Stack, shift: FloatArray, turn: FloatArray) -> FloatArray:
    """Unknowns of all parts moved as one body: u = shift + turn x r. (n,) [mm]."""
    state = np.zeros(stack.size)
    for part in stack.parts:
        pad = CONTACTS[part.name][0]
        local, weights = PadFunctions(pad, 1).quadrature(4)
        # The reduction has the functions of degree 3 on this pad.
        values = PadFunctions(pad, 3).values(local)
        places = np.asarray(pad.centre) + local @ pad.axes[:2]
        moved = (shift + np.cross(turn, places)) @ pad.axes.T
        wanted = ((values * weights) @ moved).ravel()
        own = stack.slices[part.name]
        rigid = part.reduced.pads[pad.name][:, part.reduced.n_elastic :]
        found, *_ = np.linalg.lstsq(rigid, wanted)
        state[own.stop - 6 : own.stop] = found
    return state
