"""Two elastic blocks, one upon the other, clamped by a stud through both."""

import numpy as np
from block_mesh import Counts, block_mesh, flat_pad, placed

from fea.core.contact_law import ContactLaw
from fea.core.contact_model import (
    ContactJoint,
    ContactModel,
    SpringJoint,
    Tie,
    contact_points,
)
from fea.core.interface import condense
from fea.core.joint import Joint, LinearLaw, Link, PadRef
from fea.core.material import Material
from fea.core.pad_functions import function_count
from fea.core.reduction import Settings, reduce_part
from fea.core.stack import Stack
from geometry.pad import FloatArray, Pad

SIZES = (40.0, 30.0, 25.0)
WHOLE = ((0.0, SIZES[0]), (0.0, SIZES[1]))
AREA = SIZES[0] * SIZES[1]
HEIGHT = SIZES[2]
# Under the lower block: stiff across, soft along, so that it may widen freely.
GROUND = LinearLaw(first=1e3, second=1e3, normal=1e5)
HELD = LinearLaw(first=1e4, second=1e4, normal=1e4)  # only to build the stack


def pair(
    made_of: Material, *, tip: Pad, degree: int, counts: Counts = (4, 4, 2)
) -> Stack:
    """Blocks on a ground joint; the stud pulls the top towards the ground's pad."""
    ground, seat = flat_pad("ground", *WHOLE, 0.0), flat_pad("seat", *WHOLE, HEIGHT)
    root, top = flat_pad("root", *WHOLE, 0.0), top_face("top")
    settings = Settings(degree=degree, modes=2)
    parts = []
    for name, height, contacts, patches in (
        ("lower", 0.0, (ground, seat), (root,)),
        ("upper", HEIGHT, (seat,), (top, tip)),
    ):
        shift = (0.0, 0.0, -height)
        moved = [tuple(p.moved(shift) for p in pads) for pads in (contacts, patches)]
        mesh = block_mesh(SIZES, counts, moved[0] + moved[1])
        reduced = reduce_part(mesh, *moved, made_of.poissons_ratio, settings)
        parts.append(placed(name, reduced, made_of, contacts + patches))
    joints = [
        Joint(name="ground", lower=None, upper=ref("lower", "ground"), law=GROUND),
        Joint(
            name="seat",
            lower=ref("lower", "seat"),
            upper=ref("upper", "seat"),
            law=HELD,
        ),
    ]
    stud = Link(
        name="stud",
        lower=ref("lower", "root"),
        upper=ref("upper", "top"),
        stiffness=1.0,
        preload=0.0,
    )
    return Stack(parts, joints, [stud], ref("upper", tip.name))


def ref(part: str, pad: str) -> PadRef:
    return PadRef(part=part, pad=pad)


def top_face(name: str) -> Pad:
    return flat_pad(name, *WHOLE, 2.0 * HEIGHT)


def side_patch(name: str) -> Pad:
    """Patch on the upper block's side that looks along x."""
    return Pad(
        name=name,
        centre=(SIZES[0], SIZES[1] / 2.0, 1.75 * HEIGHT),
        first=(0.0, 1.0, 0.0),
        second=(0.0, 0.0, 1.0),
        half_sizes=(SIZES[1] / 4.0, HEIGHT / 4.0),
    )


def contact_pair(
    stack: Stack,
    law: ContactLaw,
    *,
    degree: int,
    preload: float,
    stiffness: float = 0.0,
    keyed: bool = False,
) -> ContactModel:
    """The seat as a contact, with a stud of a preload [N] and a stiffness [N/mm]."""
    functions, weights = contact_points(stack.pad(ref("upper", "seat")), degree)
    seat = ContactJoint(
        name="seat",
        law=law,
        functions=functions,
        weights=weights,
        pressure=preload / AREA,
        keyed=keyed,
    )
    springs = GROUND.coefficient_stiffness(function_count(degree))
    return ContactModel(
        interface=condense(stack, {"ground": degree, "seat": degree}),
        contacts=(seat,),
        springs=(SpringJoint(name="ground", stiffness=springs),),
        ties=(Tie(name="stud", stiffness=stiffness, preload=preload),),
    )


def mean_closure(model: ContactModel, coefficients: FloatArray) -> float:
    """Mean approach of the seat's faces. [mm]."""
    own = model.interface.slices["seat"]
    # The first function is the constant 1 / sqrt(area).
    return float(-coefficients[own.start + 2] / np.sqrt(AREA))
