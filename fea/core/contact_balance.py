"""Balance of a stack's joints: what is out of equilibrium at a state; its tangent."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fea.core.contact_law import ContactPoints, Traction, traction
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Members:
    """What joints and links do at a state.

    Parameters
    ----------
    tractions : (m,) coefficients of the tractions, tensions of the links
    tangent : (m, m) block diagonal, of joints and links
    found : joint name to the traction at its points
    """

    tractions: FloatArray
    tangent: FloatArray
    found: Mapping[str, Traction]


def joint_traction(
    model: ContactModel, joint: ContactJoint, state: ContactState
) -> Traction:
    """Traction at the points of a joint."""
    return joint_tractions(model, state)[joint.name]


def joint_tractions(model: ContactModel, state: ContactState) -> dict[str, Traction]:
    """Traction at the points of every joint that can lift, by the joint's name."""
    slices = model.interface.slices
    jumps = [j.jump(state.coefficients[slices[j.name]]) for j in model.contacts]
    memory = [state.points[joint.name] for joint in model.contacts]
    points = ContactPoints(
        slide=np.concatenate([each.slide for each in memory]),
        shear=np.concatenate([each.shear for each in memory]),
        stiffness=np.concatenate([each.stiffness for each in memory]),
    )
    advance = np.zeros(len(points.stiffness))
    for joint, driven in zip(model.driven, state.advance, strict=True):
        advance[model.spans[joint.name]] = driven
    # All at once: a call costs more than the points of a joint.
    at = traction(model.law, points, np.concatenate(jumps), advance)
    return {
        name: Traction(
            value=at.value[span],
            tangent=at.tangent[span],
            pressure=at.pressure[span],
            slips=at.slips[span],
        )
        for name, span in model.spans.items()
    }


def members(model: ContactModel, state: ContactState) -> Members:
    """Evaluate every joint and link."""
    n = model.interface
    loads, tangent = np.zeros(n.size), np.zeros((n.size, n.size))
    found = joint_tractions(model, state)
    for joint in model.contacts:
        own, at = n.slices[joint.name], found[joint.name]
        weighted = joint.functions * joint.weights
        loads[own] = (weighted @ at.value).ravel()
        tangent[own, own] = _assembled(weighted, joint.functions, at.tangent)
    _add_linear(model, state, loads, tangent)
    return Members(tractions=loads, tangent=tangent, found=found)


def balance(model: ContactModel, state: ContactState) -> Balance:
    """Evaluate every joint and link, and add up the forces."""
    n = model.interface
    m, r = n.size, len(state.rigid)
    own = members(model, state)
    strain = n.inverse @ (
        state.coefficients - n.rigid @ state.rigid - n.tip @ state.force
    )
    residual = np.concatenate(
        [
            strain + own.tractions,
            -n.rigid.T @ strain - n.tip_rigid.T @ state.force,
            np.zeros(len(state.advance)),
        ]
    )
    jacobian = np.zeros((len(residual), len(residual)))
    jacobian[: m + r, : m + r] = n.stiffness
    for each in n.slices.values():
        jacobian[each, each] += own.tangent[each, each]
    _add_drives(model, state, own.found, residual, jacobian)
    return Balance(
        residual=residual,
        jacobian=jacobian,
        tractions=own.tractions,
        tangent=own.tangent,
        found=own.found,
    )


def _assembled(
    weighted: FloatArray, functions: FloatArray, tangent: FloatArray
) -> FloatArray:
    """Tangent of a joint's coefficients from that of its points. (3 k, 3 k)."""
    k = len(functions)
    stiff = np.ascontiguousarray(tangent.transpose(1, 2, 0))[:, :, None]
    blocks = (weighted * stiff) @ functions.T
    return blocks.transpose(2, 0, 3, 1).reshape(3 * k, 3 * k)


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
