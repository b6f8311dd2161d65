"""A stack's joints as contacts: machined faces and struts' ends lift and slip."""

from collections.abc import Mapping

import numpy as np

from fea.core.contact_model import (
    ContactJoint,
    ContactModel,
    SpringJoint,
    Tie,
    contact_points,
)
from fea.core.interface import condense
from fea.core.joint import Joint
from fea.core.pad_functions import function_count
from fea.core.stack import Stack
from fea.core.strut import StrutLaw
from fea.core.surface_law import SurfaceLaw
from geometry.pad import FloatArray

# Degree of the polynomials that carry a joint which lifts and slips.
CONTACT_DEGREE = 3


def contact_model(
    stack: Stack,
    degrees: Mapping[str, int] | None = None,
    elsewhere: FloatArray | None = None,
) -> ContactModel:
    """Condense a stack and give each of its joints the law that it is made of.

    `degrees` by joint; `CONTACT_DEGREE` for all of them if not given. `elsewhere` as
    `condense` takes it.
    """
    if degrees is None:
        degrees = {joint.name: CONTACT_DEGREE for joint in stack.joints}
    contacts, springs = [], []
    for joint in stack.joints:
        degree = degrees[joint.name]
        if isinstance(joint.law, SurfaceLaw):
            contacts.append(_contact(stack, joint, joint.law, degree))
        elif isinstance(joint.law, StrutLaw):
            contacts.append(_strut(joint.name, joint.law))
        else:
            stiffness = joint.law.coefficient_stiffness(function_count(degree))
            springs.append(SpringJoint(name=joint.name, stiffness=stiffness))
    ties = [
        Tie(name=link.name, stiffness=link.stiffness, preload=link.preload)
        for link in stack.links
    ]
    return ContactModel(
        interface=condense(stack, degrees, elsewhere),
        contacts=tuple(contacts),
        springs=tuple(springs),
        ties=tuple(ties),
    )


def _contact(stack: Stack, joint: Joint, law: SurfaceLaw, degree: int) -> ContactJoint:
    functions, weights = contact_points(stack.pad(joint.upper), degree)
    return ContactJoint(
        name=joint.name,
        law=law.contact,
        functions=functions,
        weights=weights,
        pressure=law.pressure,
        drive=law.drive,
        yields=law.yields,
        keyed=law.keyed,
    )


def _strut(name: str, law: StrutLaw) -> ContactJoint:
    """One point with all of the patch's area, and its one constant function."""
    return ContactJoint(
        name=name,
        law=law.contact,
        functions=np.array([[1.0 / np.sqrt(law.area)]]),
        weights=np.array([law.area]),
        pressure=law.pressure,
        drive=law.force,
    )
