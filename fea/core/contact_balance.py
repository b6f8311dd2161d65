"""Balance of a stack's joints: what is out of equilibrium at a state; its tangent."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fea.core.contact_law import Traction, traction
from fea.core.contact_model import ContactJoint, ContactModel, ContactState
from geometry.pad import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Residual at a state and its tangent.

    The unknowns are the m coefficients, r rigid motions and w advances of wedges; so
    many rows belong to the jumps, to the forces on the parts and to the drives.

    Parameters
    ----------
    residual : (m + r + w,)
    jacobian : (m + r + w, m + r + w)
    tractions : (m,) coefficients of the tractions, tensions of the links
    tangent : (m, m) block diagonal, of joints and links
    found : joint name to the traction at its points
    """

    residual: FloatArray
    jacobian: FloatArray
    tractions: FloatArray
    tangent: FloatArray
    found: Mapping[str, Traction]


def joint_traction(
    model: ContactModel, joint: ContactJoint, state: ContactState
) -> Traction:
    """Traction at the points of a joint."""
    own = model.interface.slices[joint.name]
    names = [driven.name for driven in model.driven]
    advance = state.advance[names.index(joint.name)] if joint.name in names else 0.0
    jump = joint.jump(state.coefficients[own])
    return traction(joint.law, state.points[joint.name], jump, float(advance))


def balance(model: ContactModel, state: ContactState) -> Balance:
    """Evaluate every joint and link, and add up the forces."""
    n = model.interface
    m, r = n.size, len(state.rigid)
    loads, tangent = np.zeros(m), np.zeros((m, m))
    found = {
        joint.name: joint_traction(model, joint, state) for joint in model.contacts
    }
    for joint in model.contacts:
        own, at = n.slices[joint.name], found[joint.name]
        weighted = joint.functions * joint.weights
        loads[own] = (weighted @ at.value).ravel()
        tangent[own, own] = _assembled(weighted, joint.functions, at.tangent)
    _add_linear(model, state, loads, tangent)
    strain = n.inverse @ (
        state.coefficients - n.rigid @ state.rigid - n.tip @ state.force
    )
    residual = np.concatenate(
        [
            strain + loads,
            -n.rigid.T @ strain - n.tip_rigid.T @ state.force,
            np.zeros(len(state.advance)),
        ]
    )
    jacobian = np.zeros((len(residual), len(residual)))
    coupling = n.inverse @ n.rigid
    jacobian[:m, :m] = n.inverse + tangent
    jacobian[:m, m : m + r] = -coupling
    jacobian[m : m + r, :m] = -coupling.T
    jacobian[m : m + r, m : m + r] = n.rigid.T @ coupling
    _add_drives(model, state, found, residual, jacobian)
    return Balance(
        residual=residual,
        jacobian=jacobian,
        tractions=loads,
        tangent=tangent,
        found=found,
    )


def _assembled(
    weighted: FloatArray, functions: FloatArray, tangent: FloatArray
) -> FloatArray:
    """Tangent of a joint's coefficients from that of its points. (3 k, 3 k)."""
    k = len(functions)
    block = np.empty((k, 3, k, 3))
    for a in range(3):
        for b in range(3):
            block[:, a, :, b] = (weighted * tangent[:, a, b]) @ functions.T
    return block.reshape(3 * k, 3 * k)


def _add_linear(
    model: ContactModel, state: ContactState, loads: FloatArray, tangent: FloatArray
) -> None:
    """Spring joints; links, which keep their preload until they are clamped."""
    for spring in model.springs:
        own = model.interface.slices[spring.name]
        loads[own] = spring.stiffness * state.coefficients[own]
        tangent[own, own] = np.diag(spring.stiffness)
    for tie in model.ties:
        at = model.interface.slices[tie.name].start
        loads[at] = tie.preload
        if state.clamped:
            longer = state.coefficients[at] - state.stretches0[at]
            loads[at] += tie.stiffness * longer
            tangent[at, at] = tie.stiffness


def _add_drives(
    model: ContactModel,
    state: ContactState,
    found: Mapping[str, Traction],
    residual: FloatArray,
    jacobian: FloatArray,
) -> None:
    """Wedges: driven until the joint carries their force, then held in place."""
    first = model.interface.size + len(state.rigid)
    for row, joint in enumerate(model.driven, start=first):
        if state.clamped and not joint.yields:
            jacobian[row, row] = 1.0
            continue
        own, at = model.interface.slices[joint.name], found[joint.name]
        weighted = joint.functions * joint.weights
        residual[row] = joint.weights @ at.pressure - (joint.drive or 0.0)
        pull = (weighted @ at.tangent[:, :, 2]).ravel()
        jacobian[own, row] = -pull
        squeeze = np.zeros_like(pull)
        squeeze[2::3] = weighted @ at.tangent[:, 2, 2]
        jacobian[row, own] = -squeeze
        jacobian[row, row] = joint.weights @ at.tangent[:, 2, 2]
