"""The demo's quick-change stack with patches where it is pushed and watched.

It makes records for tests without anything of `fea.measurement`: patches that are
meshed, joints followed one by one with polynomials of full degree, constants put into
the plan by hand.
"""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np

from fea.analysis.build import build_planned, fineness, plan_stack
from fea.analysis.rectangle import X, Y, Z, square
from fea.analysis.stack_names import QUICK_CHANGE
from fea.case.schema import Case
from fea.core.contact_model import ContactModel
from fea.core.contact_stack import contact_model
from fea.core.equilibrium import clamp, load, tip_motion
from fea.core.joint import FootLaw, Joint, LinearLaw, PadRef
from fea.core.plan import StackPlan
from fea.core.stack import Stack
from fea.core.surface_law import SurfaceLaw
from geometry.units import UM_PER_MM

SIDE = 4.0
SPOTS = {
    "holder": square("probe", np.array([80.0, 25.0, 16.0]), X, Y, SIDE),
    "post body": square("probe", np.array([30.0, 95.0, 20.0]), X, Y, SIDE),
    "top slide": square("probe", np.array([53.0, 26.8, -55.0]), X, Z, SIDE),
    "tool bit": square("probe", np.array([8.0, 4.8, 0.0]), X, Y, SIDE),
}


def probed_plan(case: Case) -> StackPlan:
    """Give the plan a patch at every spot."""
    plan = plan_stack(case, QUICK_CHANGE)
    parts = [
        replace(part, patches=(*part.patches, SPOTS[part.name]))
        if part.name in SPOTS
        else part
        for part in plan.parts
    ]
    return replace(plan, parts=tuple(parts))


def probed_stack(case: Case, plan: StackPlan, cache: Path) -> Stack:
    return build_planned(plan, *fineness(case), cache)


def probe_rows(stack: Stack) -> np.ndarray:
    """Mean motion of every patch, machine frame. (3 n, n_unknown)."""
    rows = [stack.mean_displacement(PadRef(part=name, pad="probe")) for name in SPOTS]
    return np.vstack(rows)


def with_truth(
    plan: StackPlan, ground: float, closures: Mapping[str, float]
) -> StackPlan:
    """Make the ground stiffer and joints softer by factors."""
    return replace(
        plan, joints=tuple(_true(each, ground, closures) for each in plan.joints)
    )


def _true(joint: Joint, ground: float, closures: Mapping[str, float]) -> Joint:
    law = joint.law
    if isinstance(law, FootLaw):
        k = law.springs
        stiffer = LinearLaw(
            first=k.first * ground, second=k.second * ground, normal=k.normal * ground
        )
        return replace(joint, law=replace(law, springs=stiffer))
    if isinstance(law, SurfaceLaw) and joint.name in closures:
        softer = law.surface.closure_um * closures[joint.name]
        surface = replace(law.surface, closure_um=softer)
        return replace(joint, law=replace(law, surface=surface))
    return joint


def probed_model(stack: Stack) -> ContactModel:
    return contact_model(stack, elsewhere=probe_rows(stack))


def readings_um(
    model: ContactModel,
    pushed: tuple[str, int, float],
    read: tuple[str, int, float],
    forces_n: list[float],
) -> list[float]:
    """Push on one spot and read at another; each is part, axis and sign."""
    names = list(SPOTS)

    def number(spot: tuple[str, int, float]) -> int:
        return 3 + 3 * names.index(spot[0]) + spot[1]

    state = clamp(model)
    rest = tip_motion(model, state)
    found = []
    for newtons in forces_n:
        force = np.zeros(model.interface.forces)
        force[number(pushed)] = newtons * pushed[2]
        state = load(model, state, force)
        moved = (tip_motion(model, state) - rest)[number(read)]
        found.append(float(read[2] * moved * UM_PER_MM))
    return found
