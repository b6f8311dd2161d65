"""From the clamped stack through deeper and deeper cuts, joint by joint."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fea.core.contact_model import ContactModel, ContactState
from fea.core.equilibrium import clamp, load, tangent_compliance, tip_motion
from fea.machining.deflection import DeflectionCurve, deflection_curve
from fea.machining.fed import Fed
from geometry.errors import SolveError
from geometry.pad import FloatArray

# The force depends on the depth cut, the depth on the motion, the motion on the force:
# repeated about the tangent until it foretells the motion to this. [mm]
SETTLED = 1e-8
ROUNDS = 12

ForceAt = Callable[[float], FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutStep:
    """Equilibrium at one nominal depth of cut.

    Parameters
    ----------
    curve : of this depth alone, (1,) arrays
    state : of the joints
    """

    curve: DeflectionCurve
    state: ContactState


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPath:
    """The clamped state and every depth that the stack holds.

    Parameters
    ----------
    clamped : before any cut
    steps : in the order of the depths
    lost : why the next depth has no equilibrium, or None
    lost_depth_mm : that depth, or None
    """

    clamped: ContactState
    steps: tuple[CutStep, ...]
    lost: str | None
    lost_depth_mm: float | None

    @property
    def curve(self) -> DeflectionCurve:
        """Deflection against depth, as far as the stack holds."""
        parts = [step.curve for step in self.steps]
        return DeflectionCurve(
            depth_mm=np.concatenate([part.depth_mm for part in parts]),
            actual_depth_mm=np.concatenate([part.actual_depth_mm for part in parts]),
            force_n=np.vstack([part.force_n for part in parts]),
            deflection_um=np.vstack([part.deflection_um for part in parts]),
            diameter_error_um=np.concatenate(
                [part.diameter_error_um for part in parts]
            ),
            fed=parts[0].fed,
        )


def follow(
    model: ContactModel, force_at: ForceAt, depth_mm: FloatArray, fed: Fed = Fed.ALONG
) -> CutPath:
    """Clamp a stack and cut deeper and deeper.

    Parameters
    ----------
    model : the stack's joints
    force_at : cutting force (3,) [N] at a depth that is cut [mm]
    depth_mm : (n,) nominal depths; taken in rising order
    fed : which way the tool is fed

    Raises
    ------
    SolveError
        The clamping does not hold, or not even the shallowest cut.
    """
    clamped = clamp(model)
    state = clamped
    steps: list[CutStep] = []
    for depth in np.sort(depth_mm):
        try:
            step = _cut(model, clamped, state, force_at, float(depth), fed)
        except SolveError as error:
            if not steps:
                raise
            return CutPath(
                clamped=clamped,
                steps=tuple(steps),
                lost=str(error),
                lost_depth_mm=float(depth),
            )
        steps.append(step)
        state = step.state
    return CutPath(clamped=clamped, steps=tuple(steps), lost=None, lost_depth_mm=None)


def _cut(
    model: ContactModel,
    clamped: ContactState,
    start: ContactState,
    force_at: ForceAt,
    depth: float,
    fed: Fed,
) -> CutStep:
    """Find force, depth cut and joints' state that fit together at a nominal depth."""
    rest = tip_motion(model, clamped)
    state = start
    for _ in range(ROUNDS):
        motion = tip_motion(model, state) - rest
        give = tangent_compliance(model, state)
        force = state.force

        def respond(
            other: FloatArray,
            motion: FloatArray = motion,
            give: FloatArray = give,
            force: FloatArray = force,
        ) -> FloatArray:
            return np.asarray(motion + give @ (other - force))

        curve = deflection_curve(respond, force_at, np.array([depth]), fed)
        # Always from the settled start: slip remembers the path, not the search.
        near = None if state is start else state
        state = load(model, start, curve.force_n[0], near)
        reached = tip_motion(model, state) - rest
        if np.abs(reached - respond(curve.force_n[0])).max() < SETTLED:
            return CutStep(curve=curve, state=state)
    message = f"at {depth:g} mm depth force and deflection did not settle together"
    raise SolveError(message)
