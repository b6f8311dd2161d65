"""Equilibrium of a stack whose joints lift and slip: Newton over the joints."""

from dataclasses import dataclass

import numpy as np

from fea.core.contact_law import ContactPoints, Traction, traction
from fea.core.contact_model import ContactJoint, ContactModel, ContactState
from geometry.errors import SolveError
from geometry.pad import FloatArray

TOLERANCE = 1e-8  # of the residual, relative to the forces in the joints
ITERATIONS = 40
SHORTEST_STEP = 1e-3  # of a Newton step, below which the search gives up
SHORTEST_LOAD_STEP = 1e-2  # of a load step, below which the stack is given up
DECREASE = 1e-4  # share of the promised decrease that a step must bring


class NotInEquilibriumError(Exception):
    """The search found no equilibrium at this load; a smaller load may have one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Trial:
    """Residual and tangent at a trial state."""

    residual: FloatArray
    jacobian: FloatArray
    tractions: FloatArray
    tangent: FloatArray
    found: dict[str, Traction]


def clamp(model: ContactModel) -> ContactState:
    """Find the clamped state: links at their preload, wedges at their force.

    Raises
    ------
    SolveError
        No such state: the clamping does not hold the stack together.
    """
    n = model.interface
    start = ContactState(
        coefficients=_first_guess(model),
        rigid=np.zeros(n.rigid.shape[1]),
        advance=np.zeros(len(model.driven)),
        tractions=np.zeros(n.size),
        tangent=np.zeros((n.size, n.size)),
        points={joint.name: joint.fresh() for joint in model.contacts},
        clamped=False,
        force=np.zeros(3),
        stretches0=np.zeros(n.size),
    )
    try:
        found = solve(model, start, np.zeros(3))
    except NotInEquilibriumError as error:
        message = (
            "the clamping does not hold the stack together: no equilibrium without a "
            f"cut ({error}); raise the clamping forces or change the way of clamping"
        )
        raise SolveError(message) from error
    return settle(model, found).moved(
        clamped=True, stretches0=found.coefficients.copy()
    )


def settle(model: ContactModel, state: ContactState) -> ContactState:
    """Accept an equilibrium: the points remember it for the next load step."""
    points = {}
    for joint in model.contacts:
        at = _traction(model, joint, state)
        jump = joint.jump(state.coefficients[model.interface.slices[joint.name]])
        points[joint.name] = ContactPoints(
            slide=jump[:, :2],
            shear=at.value[:, :2],
            stiffness=joint.law.tangential_stiffness(at.pressure),
        )
    return state.moved(points=points)


def solve(model: ContactModel, start: ContactState, force: FloatArray) -> ContactState:
    """Equilibrium under a force at the tip (3,) [N], from a settled state.

    Raises
    ------
    NotInEquilibriumError
        The residual could not be brought below `TOLERANCE`.
    """
    state = start.moved(force=force)
    trial = _evaluate(model, state)
    for _ in range(ITERATIONS):
        scale = _scale(trial)
        error = float(np.linalg.norm(scale * trial.residual))
        size = float(np.linalg.norm(scale[: model.interface.size] * trial.tractions))
        if error <= TOLERANCE * max(size, np.finfo(float).tiny):
            return state.moved(tractions=trial.tractions, tangent=trial.tangent)
        step = np.linalg.solve(trial.jacobian, -trial.residual)
        state, trial = _search(model, state, step, scale, error)
    message = f"residual {error / size:.1e} after {ITERATIONS} steps"
    raise NotInEquilibriumError(message)


def load(model: ContactModel, start: ContactState, force: FloatArray) -> ContactState:
    """Go from a settled state to a force at the tip (3,) [N], in as many steps as needed.

    Raises
    ------
    SolveError
        There is no equilibrium at that force: names the joint that is lost and the
        force at which it goes.
    """
    state, reached, step = start, 0.0, 1.0
    while reached < 1.0:
        target = start.force + min(reached + step, 1.0) * (force - start.force)
        try:
            state = settle(model, solve(model, state, target))
        except NotInEquilibriumError as error:
            step /= 2.0
            if step < SHORTEST_LOAD_STEP:
                raise SolveError(_lost(model, state)) from error
            continue
        reached = min(reached + step, 1.0)
    return state


def joint_tractions(model: ContactModel, state: ContactState) -> dict[str, Traction]:
    """Traction at the points of every joint that can lift, at an equilibrium."""
    return {joint.name: _traction(model, joint, state) for joint in model.contacts}


def _lost(model: ContactModel, state: ContactState) -> str:
    """Say which joint holds least, and at what load."""
    held = {}
    for joint in model.contacts:
        at = _traction(model, joint, state)
        limit = joint.law.friction * joint.weights @ at.pressure
        shear = joint.weights @ np.linalg.norm(at.value[:, :2], axis=1)
        held[joint.name] = shear / limit if limit > 0.0 else np.inf
    loosest = max(held, key=lambda name: held[name])
    return (
        f"the joint {loosest} is lost: beyond a cutting force of "
        f"{np.linalg.norm(state.force):.0f} N nothing holds it any more; clamp harder or "
        "cut less"
    )


def tip_motion(model: ContactModel, state: ContactState) -> FloatArray:
    """Displacement of the tip. (3,) [mm]."""
    n = model.interface
    return np.asarray(
        n.tip_own @ state.force - n.tip.T @ state.tractions + n.tip_rigid @ state.rigid
    )


def tangent_compliance(model: ContactModel, state: ContactState) -> FloatArray:
    """Motion of the tip under small forces about a state. (3, 3) [mm/N]."""
    n = model.interface
    trial = _evaluate(model, state)
    pull = n.inverse @ n.tip
    loads = np.zeros((len(trial.residual), 3))
    loads[: n.size] = pull
    loads[n.size : n.size + len(state.rigid)] = n.tip_rigid.T - n.rigid.T @ pull
    moved = np.linalg.solve(trial.jacobian, loads)
    change = moved[: n.size]
    rigid = moved[n.size : n.size + len(state.rigid)]
    tractions = n.inverse @ (n.tip + n.rigid @ rigid - change)
    return np.asarray(n.tip_own - n.tip.T @ tractions + n.tip_rigid @ rigid)


def _first_guess(model: ContactModel) -> FloatArray:
    """Every contact closed by its expected pressure."""
    guess = np.zeros(model.interface.size)
    for joint in model.contacts:
        closed = joint.law.approach(np.array(joint.pressure))
        # The first function is constant, so its coefficient alone closes evenly.
        own = model.interface.slices[joint.name]
        guess[own.start + 2] = -closed / joint.functions[0, 0]
    return guess


def _search(
    model: ContactModel,
    state: ContactState,
    step: FloatArray,
    scale: FloatArray,
    error: float,
) -> tuple[ContactState, _Trial]:
    """Go along a Newton step as far as the residual falls."""
    m, r = model.interface.size, len(state.rigid)
    length = 1.0
    while length >= SHORTEST_STEP:
        there = state.moved(
            coefficients=state.coefficients + length * step[:m],
            rigid=state.rigid + length * step[m : m + r],
            advance=state.advance + length * step[m + r :],
        )
        trial = _evaluate(model, there)
        if np.linalg.norm(scale * trial.residual) <= (1.0 - DECREASE * length) * error:
            return there, trial
        length /= 2.0
    message = f"no step lowers the residual of {error:.1e}"
    raise NotInEquilibriumError(message)


def _scale(trial: _Trial) -> FloatArray:
    """Weights that make residuals of different units comparable (root of energy)."""
    return 1.0 / np.sqrt(np.maximum(np.abs(np.diag(trial.jacobian)), 1e-300))


def _traction(
    model: ContactModel, joint: ContactJoint, state: ContactState
) -> Traction:
    own = model.interface.slices[joint.name]
    names = [driven.name for driven in model.driven]
    advance = state.advance[names.index(joint.name)] if joint.name in names else 0.0
    jump = joint.jump(state.coefficients[own])
    return traction(joint.law, state.points[joint.name], jump, float(advance))


def _evaluate(model: ContactModel, state: ContactState) -> _Trial:
    n = model.interface
    m, r = n.size, len(state.rigid)
    loads, tangent = np.zeros(m), np.zeros((m, m))
    found = {joint.name: _traction(model, joint, state) for joint in model.contacts}
    for joint in model.contacts:
        own, at = n.slices[joint.name], found[joint.name]
        weighted = joint.functions * joint.weights
        loads[own] = (weighted @ at.value).ravel()
        tangent[own, own] = _assembled(weighted, joint.functions, at.tangent)
    _add_linear(model, state, loads, tangent)
    strain = n.inverse @ (state.coefficients - n.rigid @ state.rigid - n.tip @ state.force)
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
    return _Trial(
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
    found: dict[str, Traction],
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
