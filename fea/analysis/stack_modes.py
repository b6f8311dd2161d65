"""How a stack rings: its natural modes about a working state, and their damping.

Damping by modal strain energy: what a mode loses in a cycle is, member by member, the
loss factor times the member's share of its energy, and half of that is the mode's
damping ratio.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.linalg import solve_triangular

from fea.analysis.chatter_result import Mode
from fea.analysis.response import shares_of
from fea.core.contact_model import ContactModel, ContactState
from fea.core.damping import loss_factors
from fea.core.modal_model import ModalModel
from fea.core.stack import Stack, factored, natural_modes
from geometry.pad import FloatArray
from geometry.units import KG_PER_TONNE, N_PER_MM_PER_N_PER_UM

# Kept: up to 7 kHz in the demos. Up to 3 kHz the receptance is then within 0.2 % of the
# largest one of what 60 modes give; with 10 modes within 3 %.
MODES = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class StackModes:
    """Natural modes of a stack.

    Parameters
    ----------
    modes : lowest first
    tip : what they do at the tip, with the compliance of those left out
    shapes : (n, n_mode) reduced displacement in modes of unit mass [mm t^-1/2]
    """

    modes: tuple[Mode, ...]
    tip: ModalModel
    shapes: FloatArray


def working_modes(
    stack: Stack,
    model: ContactModel,
    state: ContactState,
    measured_ratio: float | None = None,
) -> StackModes:
    """Modes of small vibrations about a settled state; see `stack_modes`.

    All that touches sticks, and wedges stay in place: what gives way to the slow cut
    is held by its friction in vibrations as small as these.
    """
    return stack_modes(stack, joint_tangents(stack, model, state), measured_ratio)


def stack_modes(
    stack: Stack,
    tangents: Mapping[str, FloatArray],
    measured_ratio: float | None = None,
) -> StackModes:
    """Natural modes with the joints' stiffness given.

    Parameters
    ----------
    stack : assembled
    tangents : by joint, for its first coefficients, (3 k, 3 k) [N/mm³]
    measured_ratio : damping ratio of the lowest mode where it was measured. One
        measurement cannot tell which member loses more than expected, so all ratios are
        scaled alike

    Notes
    -----
    zeta_r = sum over members of eta U_r / 2 sum U_r, with the loss factors eta and the
    members' strain energies U_r (Johnson and Kienholz, AIAA Journal 20, 1982; from
    memory). Along the direction in which it moves the tip by phi, a mode has the
    effective mass 1 / phi² and the modal stiffness omega² / phi². The residual brings
    the static compliance to T K^-1 T'.
    """
    factor = factored(stack.stiffness_with(tangents))
    frequency, shapes = natural_modes(factor, stack.mass, MODES)
    shapes *= _signs((stack.tip_rows @ shapes).T)
    energies = member_energies(stack, tangents, shapes)
    ratio = scaled(damping_ratio(stack, energies), measured_ratio)
    tip = (stack.tip_rows @ shapes).T
    bare = ModalModel(
        frequency_hz=frequency,
        damping_ratio=ratio,
        shapes=tip,
        residual=np.zeros((3, 3)),
    )
    pulled = solve_triangular(factor, stack.tip_rows.T, lower=True)
    left_out = pulled.T @ pulled - bare.static_compliance
    model = ModalModel(
        frequency_hz=frequency,
        damping_ratio=ratio,
        shapes=tip,
        residual=left_out,
    )
    modes = tuple(_mode(stack, model, energies, number) for number in range(MODES))
    return StackModes(modes=modes, tip=model, shapes=shapes)


def joint_tangents(
    stack: Stack, model: ContactModel, state: ContactState
) -> dict[str, FloatArray]:
    """Tangents of the joints at a settled state, for `Stack.stiffness_with`.

    Slip makes a tangent unsymmetric; small vibrations see its symmetric part.
    """
    return {
        name: (state.tangent[own, own] + state.tangent[own, own].T) / 2.0
        for name, own in model.interface.slices.items()
        if name in stack.jumps
    }


def member_energies(
    stack: Stack, tangents: Mapping[str, FloatArray], shapes: FloatArray
) -> dict[str, FloatArray]:
    """Twice the strain energy of every member in every mode. (n_mode,) [N mm]."""
    found = {}
    for part in stack.parts:
        own = stack.slices[part.name]
        bent = shapes[own.start : own.stop - 6]
        found[part.name] = part.material.youngs_modulus_mpa * (bent**2).sum(axis=0)
    for joint in stack.joints:
        tangent = tangents[joint.name]
        jump = stack.jumps[joint.name][: len(tangent)] @ shapes
        found[joint.name] = (jump * (tangent @ jump)).sum(axis=0)
    for link in stack.links:
        found[link.name] = link.stiffness * (stack.stretches[link.name] @ shapes) ** 2
    return found


def damping_ratio(stack: Stack, energies: Mapping[str, FloatArray]) -> FloatArray:
    """Ratio of critical damping of every mode, by modal strain energy. (n_mode,)."""
    loss = loss_factors(stack)
    lost = sum(loss[name].value * energy for name, energy in energies.items())
    return np.asarray(lost / sum(energies.values()) / 2.0)


def scaled(ratio: FloatArray, measured: float | None) -> FloatArray:
    """Ratios (..., n_mode) brought to a measured one of the lowest mode, if any."""
    return ratio if measured is None else ratio * (measured / ratio[..., :1])


def _signs(tip: FloatArray) -> FloatArray:
    """Signs that make the largest of each mode's motions positive. (n, 3) to (n,).

    A mode has no sign of its own; without a rule it changes with the last digit.
    """
    most = np.abs(tip).argmax(axis=1)
    return np.asarray(np.copysign(1.0, tip[np.arange(len(tip)), most]))


def _mode(
    stack: Stack, model: ModalModel, energies: Mapping[str, FloatArray], number: int
) -> Mode:
    shape = model.shapes[number]
    size = float(np.linalg.norm(shape))
    frequency = float(model.frequency_hz[number])
    stiffness = (2.0 * np.pi * frequency / size) ** 2
    return Mode(
        frequency_hz=frequency,
        damping_ratio=float(model.damping_ratio[number]),
        tip=shape / size,
        stiffness_n_per_um=stiffness / N_PER_MM_PER_N_PER_UM,
        mass_kg=KG_PER_TONNE / size**2,
        shares=shares_of(
            stack, {name: float(each[number]) for name, each in energies.items()}
        ),
    )
