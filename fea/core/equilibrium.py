"""Equilibrium of a stack whose joints lift and slip: Newton over the joints."""

import numpy as np

from fea.core.contact_balance import Balance, balance, joint_tractions, members
from fea.core.contact_law import remembered
from fea.core.contact_loss import loss
from fea.core.contact_model import ContactModel, ContactState
from geometry.errors import SolveError
from geometry.pad import FloatArray

TOLERANCE = 1e-8  # of the residual, relative to the forces in the joints
ITERATIONS = 40
SHORTEST_STEP = 1.0 / 64.0  # of a Newton step, below which the search gives up
SHORTEST_LOAD_STEP = 1e-2  # of a load step, below which the stack is given up
DECREASE = 1e-4  # share of the promised decrease that a step must bring
SLACK = 1e-10  # stiffness given to what has none, relative to what its unknown meets


class NotInEquilibriumError(Exception):
    """The search found no equilibrium at this load; a smaller load may have one.

    Parameters
    ----------
    message : how far the search came
    state : where it ended
    step : (m,) where it was heading, change of the coefficients [mm]
    """

    def __init__(self, message: str, state: ContactState, step: FloatArray) -> None:
        super().__init__(message)
        self.state = state
        self.step = step


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
        force=np.zeros(n.forces),
        stretches0=np.zeros(n.size),
    )
    try:
        found = solve(model, start, np.zeros(n.forces))
    except NotInEquilibriumError as error:
        message = (
            "the clamping does not hold the stack together, even without a cut: "
            f"{loss(model, error.state, error.step)}; raise the clamping forces or "
            "change the way of clamping"
        )
        raise SolveError(message) from error
    held = found.moved(clamped=True, stretches0=found.coefficients.copy())
    return settle(model, held)


def settle(model: ContactModel, state: ContactState) -> ContactState:
    """Accept an equilibrium: the points remember it for the next load step.

    What slipped sticks where it has come to, so the tangent is then that of vibrations
    too small to slip to and fro.
    """
    points = {}
    found = joint_tractions(model, state)
    for joint in model.contacts:
        jump = joint.jump(state.coefficients[model.interface.slices[joint.name]])
        points[joint.name] = remembered(
            joint.law, state.points[joint.name], jump, found[joint.name]
        )
    settled = state.moved(points=points)
    return settled.moved(tangent=members(model, settled).tangent)


def solve(
    model: ContactModel,
    start: ContactState,
    force: FloatArray,
    near: ContactState | None = None,
) -> ContactState:
    """Equilibrium under forces (f,) [N], at the tip or not, from a settled state.

    Parameters
    ----------
    near : where the search begins, if not at `start`, whose memory counts

    Raises
    ------
    NotInEquilibriumError
        The residual could not be brought below `TOLERANCE`.
    """
    first = near or start
    state = start.moved(
        force=force,
        coefficients=first.coefficients,
        rigid=first.rigid,
        advance=first.advance,
    )
    m = model.interface.size
    trial = balance(model, state)
    for _ in range(ITERATIONS):
        scale = _scale(trial)
        error = float(np.linalg.norm(scale * trial.residual))
        size = float(np.linalg.norm(scale[:m] * trial.tractions))
        if error <= TOLERANCE * size:
            return state.moved(tractions=trial.tractions, tangent=trial.tangent)
        step = _newton_step(trial, scale)
        ahead = _search(model, state, step, scale, error)
        if ahead is None:
            break
        state, trial = ahead
    message = f"residual {error:.1e} beside forces of {size:.1e}"
    raise NotInEquilibriumError(message, state, step[:m])


def load(
    model: ContactModel,
    start: ContactState,
    force: FloatArray,
    near: ContactState | None = None,
) -> ContactState:
    """Go from a settled state to other forces (f,) [N], in steps if needed.

    Parameters
    ----------
    near : an equilibrium under much the same forces, where the search begins

    Raises
    ------
    SolveError
        There is no equilibrium at that force: names the joint that is lost and the
        force at which it goes, to `SHORTEST_LOAD_STEP` of the step.
    """
    if near is not None:
        try:
            return settle(model, solve(model, start, force, near))
        except NotInEquilibriumError:
            pass  # from the start, then
    state, reached, step = start, 0.0, 1.0
    while reached < 1.0:
        target = start.force + min(reached + step, 1.0) * (force - start.force)
        try:
            state = settle(model, solve(model, state, target))
        except NotInEquilibriumError as error:
            step /= 2.0
            if step < SHORTEST_LOAD_STEP:
                raise SolveError(_no_further(model, state, error)) from error
            continue
        reached = min(reached + step, 1.0)
    return state


def _no_further(
    model: ContactModel, state: ContactState, error: NotInEquilibriumError
) -> str:
    """Say what happens beyond the last equilibrium, and under which force."""
    return (
        f"beyond a cutting force of {np.linalg.norm(state.force):.0f} N "
        f"{loss(model, error.state, error.step)}; clamp harder or cut less"
    )


def tip_motion(model: ContactModel, state: ContactState) -> FloatArray:
    """Motion along every force, the tip's three first. (f,) [mm]."""
    n = model.interface
    return np.asarray(
        n.tip_own @ state.force - n.tip.T @ state.tractions + n.tip_rigid @ state.rigid
    )


def tangent_compliance(model: ContactModel, state: ContactState) -> FloatArray:
    """Motion of the tip under small forces about a state. (f, f) [mm/N].

    About a settled state all that touches sticks; about one that `solve` returned, what
    slips goes on slipping.
    """
    n = model.interface
    trial = balance(model, state)
    pull = n.inverse @ n.tip
    loads = np.zeros((len(trial.residual), n.forces))
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


def _newton_step(trial: Balance, scale: FloatArray) -> FloatArray:
    """Step of all unknowns; where nothing holds, a very long one and not a failure."""
    try:
        return np.asarray(np.linalg.solve(trial.jacobian, -trial.residual))
    except np.linalg.LinAlgError:
        slack = np.diag(SLACK / scale**2)
        return np.asarray(np.linalg.solve(trial.jacobian + slack, -trial.residual))


def _search(
    model: ContactModel,
    state: ContactState,
    step: FloatArray,
    scale: FloatArray,
    error: float,
) -> tuple[ContactState, Balance] | None:
    """Go along a Newton step as far as the residual falls; None if it does not."""
    m, r = model.interface.size, len(state.rigid)
    length = 1.0
    while length >= SHORTEST_STEP:
        there = state.moved(
            coefficients=state.coefficients + length * step[:m],
            rigid=state.rigid + length * step[m : m + r],
            advance=state.advance + length * step[m + r :],
        )
        trial = balance(model, there)
        fallen = np.linalg.norm(scale * trial.residual)
        if fallen <= (1.0 - DECREASE * length) * error and _is_driven(trial, m + r):
            return there, trial
        length /= 2.0
    return None


def _is_driven(trial: Balance, first: int) -> bool:
    """Whether every driven joint still touches; one that does not has no way back."""
    return bool(np.all(np.diag(trial.jacobian)[first:] > 0.0))


def _scale(trial: Balance) -> FloatArray:
    """Weights that make residuals of different units comparable (root of energy)."""
    return 1.0 / np.sqrt(np.maximum(np.abs(np.diag(trial.jacobian)), 1e-300))
