"""March of tool and work through the cut, step by step, with all that may be nonlinear.

Of each piece of the edge is known where it stands, n·u along its normal n, and where
the work's surface stands at this angle of the spindle. The chip is the gap between the
two; while there is one, Kienzle's law gives the force. A piece that has cut leaves the
surface where it stood; one that was out of the cut leaves it where it was, so that the
next revolution meets what several earlier ones left. Seen from the edge, which is fed
on, the surface has come nearer by the chip of a steady cut at each revolution:
surface <- min(n·u, surface) + steady thickness.

Each piece meets only what the same piece left, and its length stays as it is: what the
motion does to the ends of the engaged edge is left out, being of the order of the feed
over the depth.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from fea.core.modal_model import ComplexArray, ModalModel
from fea.machining.marching_edge import TERMS, MarchingEdge, motion_slopes
from geometry.errors import SolveError
from geometry.pad import FloatArray

LARGEST_LOOP_GAIN = 0.8
"""Of force over motion over force within one step. A step evaluates its force twice:
exact while the tool cuts, off by that part of what is nonlinear within the step. At 0.7
a settled swing out of the cut is still within 1 % of that with steps half as long."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Oscillators:
    """Modes made ready for one length of step. Rows of states are (.., 2 n_mode).

    Parameters
    ----------
    decay : (n_mode,) complex factor of a state over one step
    enter_old, enter_new : (3, 2 n_mode) what the force at a step's begin and end adds
    read : (2 n_mode, 6) motion and velocity of the point from a state
    at_once : (3, 6) motion and velocity that the force at a step's end gives at its end
    at_rest : (3, 2 n_mode) state under a force that has acted for long

    Notes
    -----
    A state is z = integral of exp(lambda (t - s)) phi·F(s) ds with
    lambda = -zeta w + i w sqrt(1 - zeta²): its imaginary part over w sqrt(1 - zeta²) is
    the mode's motion. A step is exact for a force that changes linearly within it,
    so nothing is damped by the numbers. Real and imaginary part stand side by side.
    """

    decay: ComplexArray
    enter_old: FloatArray
    enter_new: FloatArray
    read: FloatArray
    at_once: FloatArray
    at_rest: FloatArray


def oscillators(model: ModalModel, step_s: float) -> Oscillators:
    """Modes of a model, made ready for steps of one length.

    Parameters
    ----------
    model : modes of tool over work
    step_s : length of a step

    Returns
    -------
    Oscillators
    """
    natural = 2.0 * np.pi * model.frequency_hz
    damped = natural * np.sqrt(1.0 - model.damping_ratio**2)
    root: ComplexArray = -model.damping_ratio * natural + 1j * damped
    x: ComplexArray = root * step_s
    first: ComplexArray = np.expm1(x) / x
    second: ComplexArray = (first - 1.0) / x

    def rows(gain: ComplexArray) -> FloatArray:
        return np.ascontiguousarray(model.shapes.T * gain).view(np.float64)

    read = np.zeros((2 * natural.size, 6))
    read[1::2, :3] = model.shapes / damped[:, None]
    read[0::2, 3:] = model.shapes
    read[1::2, 3:] = model.shapes * (root.real / damped)[:, None]
    enter_new = rows(step_s * second)
    at_once = enter_new @ read
    at_once[:, :3] += model.residual.T
    return Oscillators(
        decay=np.exp(x),
        enter_old=rows(step_s * (first - second)),
        enter_new=enter_new,
        read=read,
        at_once=at_once,
        at_rest=rows(-1.0 / root),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Beginning:
    """What a march starts from.

    Parameters
    ----------
    state : (n_depth, 1, 2 n_mode) of the modes
    force_n : (n_depth, 1, 3) on the tool
    stands_mm : (n_depth, 1, n_piece) where the edge stood when the surface was cut
    """

    state: FloatArray
    force_n: FloatArray
    stands_mm: FloatArray


_Press = Callable[[FloatArray, FloatArray], tuple[FloatArray, FloatArray]]
"""Motion and velocity of the tip and the surface met, to force and place of edge."""


def march(
    modes: Oscillators, edge: MarchingEdge, begin: Beginning, steps: int
) -> Iterator[tuple[FloatArray, FloatArray]]:
    """Revolution after revolution, without end.

    Parameters
    ----------
    modes : of tool over work, made ready for a step of 1/steps of a revolution
    edge : engaged edge
    begin : state, force and surface before the first step
    steps : in one revolution

    Yields
    ------
    motion, force : (steps, n_depth, 3) [mm], [N]
        Of the tip, tool over work, and on the tool.

    Raises
    ------
    SolveError
        The force changes more within a step than the step can follow.

    Notes
    -----
    A step's new force must agree with the motion that it gives in the same step,
    through the modes and at once through the modes left out. It is found by one Newton
    step with the slopes of the steady cut, which is exact for small motion, and is then
    evaluated once more, so that out of the cut it is exactly 0.
    """
    at_once, correct = modes.at_once, _correction(modes, edge)
    press = _pressing(edge)
    state, force = begin.state.copy(), begin.force_n.copy()
    surface = np.repeat((begin.stands_mm + edge.steady_mm)[None], steps, axis=0)
    free_state, joined = np.empty_like(state), state.view(complex)
    while True:
        motion = np.empty((steps, *force.shape))
        pushed = np.empty_like(motion)
        for place in range(steps):
            met = surface[place]
            np.multiply(joined, modes.decay, out=free_state.view(complex))
            free_state += force @ modes.enter_old
            free = free_state @ modes.read
            guess = press(free + force @ at_once, met)[0]
            force = force + (guess - force) @ correct
            there = free + force @ at_once
            force, stands = press(there, met)
            motion[place] = there[..., :3]
            pushed[place] = force
            np.minimum(stands, met, out=met)
            met += edge.steady_mm
            np.add(free_state, force @ modes.enter_new, out=state)
        yield motion[:, :, 0], pushed[:, :, 0]


def _correction(modes: Oscillators, edge: MarchingEdge) -> FloatArray:
    """Newton's factor on the error of a step's force. (n_depth, 3, 3)."""
    along, against = motion_slopes(edge)
    gain = modes.at_once[:, :2] @ along + modes.at_once[:, 3:5] @ against
    largest = float(np.abs(np.linalg.eigvals(gain)).max())
    if largest > LARGEST_LOOP_GAIN:
        message = (
            f"simulation of the cut: within one step the tip moves {largest:.2g} times "
            f"as far as the chip allows for, {LARGEST_LOOP_GAIN:g} can be followed; "
            "keep more modes or simulate a smaller depth of cut"
        )
        raise SolveError(message)
    return np.asarray(np.linalg.inv(np.eye(3) - gain), dtype=float)


def _pressing(edge: MarchingEdge) -> _Press:
    """Make the function that gives force and place of the edge, with its arrays."""
    depths, _, pieces = edge.steady_mm.shape
    terms = np.empty((depths, 1, TERMS * pieces))
    damped = bool(edge.damping.any())
    normal, weight = edge.normal, edge.weight

    def press(motion: FloatArray, surface: FloatArray) -> tuple[FloatArray, FloatArray]:
        stands = motion[..., :2] @ normal
        chip = np.maximum(surface - stands, 0.0)
        force = edge.terms(chip, terms) @ weight
        if damped:
            rubs = (motion[..., 3:5] @ normal) * (chip > 0.0)
            force -= rubs @ edge.damping
        return force, stands

    return press
