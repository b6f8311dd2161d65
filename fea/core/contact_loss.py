"""Which joint is lost where a stack has no equilibrium."""

import numpy as np

from fea.core.contact_balance import joint_traction
from fea.core.contact_model import ContactJoint, ContactModel, ContactState
from geometry.pad import FloatArray

# Of the area of a joint: when no more than this still sticks, nothing holds it.
HOLDING = 0.05


def loss(model: ContactModel, state: ContactState, step: FloatArray) -> str:
    """Say which joint gives way and how.

    Past the last equilibrium the search runs off along the motion that nothing resists,
    so the joint whose faces move most is the one that is lost. Faces that only lean on
    each other hold nothing together.

    Parameters
    ----------
    model : the stack's joints
    state : where the search ended
    step : (m,) where it was heading, change of the coefficients [mm]
    """
    slices = model.interface.slices
    moves = {
        joint.name: _mean_motion(joint, step[slices[joint.name]])
        for joint in model.contacts
    }
    pressed = (joint for joint in model.contacts if not joint.leans)
    joint = max(pressed, key=lambda each: np.linalg.norm(moves[each.name]))
    at = joint_traction(model, joint, state)
    sticks = joint.weights @ ((at.pressure > 0.0) & ~at.slips)
    if sticks > HOLDING * joint.weights.sum():
        return f"no equilibrium was found; the joint {joint.name} moves most"
    along, across = moves[joint.name]
    how = "slides" if along > across else "lifts"
    return f"the joint {joint.name} is lost: it {how} and nothing holds it any more"


def _mean_motion(joint: ContactJoint, step: FloatArray) -> tuple[float, float]:
    """Root mean square of the motion along the faces and across them. [mm]."""
    jump = joint.jump(step)
    mean = joint.weights @ jump**2 / joint.weights.sum()
    return float(np.sqrt(mean[0] + mean[1])), float(np.sqrt(mean[2]))
