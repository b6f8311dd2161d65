"""What became of every joint: force, margin against slip and lift, pressure map."""

import numpy as np

from fea.analysis.cutting_path import CutPath
from fea.analysis.result import JointResult, LoadCycle, PressureMap
from fea.core.contact_balance import joint_tractions
from fea.core.contact_law import Traction
from fea.core.contact_model import ContactJoint, ContactModel, ContactState
from fea.core.equilibrium import load, tip_motion
from fea.core.joint import Joint
from fea.core.pad_functions import PadFunctions
from fea.core.stack import Stack
from geometry.errors import SolveError
from geometry.pad import FloatArray
from geometry.units import UM_PER_MM

# A joint is said to lift or slip from the depth at which this much more of its area
# does than in the clamped state: the area of about one point of the pad in fifty.
BEGINS = 0.02

MAP_POINTS = 41  # along each side of a pressure map
CYCLE_STEPS = 4  # of unloading, and of loading again


def joint_results(
    stack: Stack, model: ContactModel, path: CutPath
) -> tuple[JointResult, ...]:
    """Return the results of every joint that can lift or slip."""
    states = [path.clamped, *(step.state for step in path.steps)]
    seen = [joint_tractions(model, state) for state in states]
    depths = path.curve.depth_mm
    places = {joint.name: joint for joint in stack.joints}
    return tuple(
        _result(
            stack,
            model,
            places[contact.name],
            contact,
            [found[contact.name] for found in seen],
            (states[0], states[-1]),
            depths,
        )
        for contact in model.contacts
    )


def load_cycle(model: ContactModel, path: CutPath) -> LoadCycle | None:
    """Unload from the deepest cut and load again; None if the way back has no end."""
    deepest = path.steps[-1].state
    fractions = np.linspace(1.0, 0.0, CYCLE_STEPS + 1)
    forces = [f * deepest.force for f in (*fractions[1:], *fractions[-2::-1])]
    state = deepest
    motions = [tip_motion(model, state)]
    try:
        for force in forces:
            state = load(model, state, force)
            motions.append(tip_motion(model, state))
    except SolveError:
        return None
    along = np.vstack([deepest.force, *forces])
    moved = np.vstack(motions)
    lost = ((along[1:] + along[:-1]) / 2.0 * np.diff(moved, axis=0)).sum()
    rest = moved[CYCLE_STEPS] - tip_motion(model, path.clamped)
    return LoadCycle(residual_um=rest * UM_PER_MM, loss_n_mm=float(lost))


def _result(
    stack: Stack,
    model: ContactModel,
    joint: Joint,
    contact: ContactJoint,
    seen: list[Traction],
    ends: tuple[ContactState, ContactState],
    depths: FloatArray,
) -> JointResult:
    area = contact.weights.sum()
    opened = [float(contact.weights @ (at.pressure <= 0.0)) / area for at in seen]
    slipped = [
        float(contact.weights @ (at.slips & (at.pressure > 0.0))) / area for at in seen
    ]
    maps = [
        None if joint.strut else _pressure_map(stack, model, joint, contact, state)
        for state in ends
    ]
    return JointResult(
        name=contact.name,
        clamped_force_n=float(contact.weights @ seen[0].pressure),
        loaded_force_n=float(contact.weights @ seen[-1].pressure),
        slip_use=_slip_use(contact, seen[-1]),
        slipping=slipped[-1],
        open_clamped=opened[0],
        open_loaded=opened[-1],
        slips_at_mm=None if contact.leans else _begins(slipped, depths),
        lifts_at_mm=None if contact.leans else _begins(opened, depths),
        sides=stack.pad(joint.upper).axes[:2],
        clamped=maps[0],
        loaded=maps[1],
    )


def _slip_use(contact: ContactJoint, at: Traction) -> float:
    """Shear that the joint carries over the most it could; at 1 all of it slips.

    What was pressed and is no more is said to slip; what only leans needs no friction.
    """
    shear = contact.weights @ np.linalg.norm(at.value[:, :2], axis=1)
    limit = contact.law.friction * (contact.weights @ at.pressure)
    if limit > 0.0:
        return float(shear / limit)
    return 0.0 if contact.leans else 1.0


def _begins(fractions: list[float], depths: FloatArray) -> float | None:
    """First depth at which a fraction of the area exceeds that when clamped."""
    for depth, fraction in zip(depths, fractions[1:], strict=True):
        if fraction > fractions[0] + BEGINS:
            return float(depth)
    return None


def _pressure_map(
    stack: Stack,
    model: ContactModel,
    joint: Joint,
    contact: ContactJoint,
    state: ContactState,
) -> PressureMap:
    pad = stack.pad(joint.upper)
    own = model.interface.slices[contact.name]
    # Count of functions is (d + 1)(d + 2) / 2.
    degree = int((np.sqrt(8 * len(contact.functions) + 1) - 3) / 2)
    a, b = pad.half_sizes
    along, across = (np.linspace(-h, h, MAP_POINTS) for h in (a, b))
    grid = np.stack(np.meshgrid(along, across, indexing="ij"), axis=-1)
    values = PadFunctions(pad, degree).values(grid)
    normal = state.coefficients[own].reshape(-1, 3)[:, 2]
    driven = [other.name for other in model.driven]
    at = driven.index(contact.name) if contact.name in driven else None
    advance = 0.0 if at is None else float(state.advance[at])
    pressure, _ = contact.law.pressure(advance - np.tensordot(normal, values, 1))
    if pad.window is not None:
        inside = np.all(np.abs(grid) < np.asarray(pad.window), axis=-1)
        pressure = np.where(inside, np.nan, pressure)
    return PressureMap(along_mm=along, across_mm=across, pressure_mpa=pressure)
