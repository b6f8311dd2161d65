"""What an equilibrium of a stack puts on the pads of every part."""

from collections.abc import Mapping

import numpy as np

from fea.core.joint import Link, PadRef
from fea.core.plan import StackPlan
from fea.core.stress import Loads
from fea.core.strut import end_of_strut
from geometry.pad import FloatArray, Pad


def part_loads(
    plan: StackPlan,
    slices: Mapping[str, slice],
    tractions: FloatArray,
    force: FloatArray,
) -> dict[str, Loads]:
    """Return what acts on every part, by its name, in an equilibrium.

    Parameters
    ----------
    plan : of the stack
    slices : joint or link name to its place in `tractions`, as `Interface` has it
    tractions : (m,) coefficients of the joints' tractions and tensions of the links,
        as `ContactState` has them: what resists the jump from lower to upper part
    force : (3,) at the tip, in the machine frame [N]
    """
    loads: dict[str, dict[str, FloatArray]] = {part.name: {} for part in plan.parts}
    pads = {
        PadRef(part=part.name, pad=patch.name): patch
        for part in plan.parts
        for patch in part.patches
    }
    for joint in plan.joints:
        resists = tractions[slices[joint.name]]
        if joint.lower is not None:
            loads[joint.lower.part][joint.lower.pad] = resists
            if joint.strut:
                # What pushes on the end sideways bends the root, too.
                resists = end_of_strut(pads[joint.lower], pads[joint.upper]).T @ resists
        loads[joint.upper.part][joint.upper.pad] = -resists
    ends = [end for link in plan.links for end in _pulls(link, slices, tractions, pads)]
    for where, pull in [*ends, (plan.tip, np.asarray(force))]:
        loads[where.part][where.pad] = patch_load(pads[where], pull)
    return dict(loads)


def patch_load(patch: Pad, force: FloatArray) -> FloatArray:
    """Coefficients of a force (3,) [N] spread evenly over a patch. (3,) [N/mm].

    The patch's one function is 1 over the root of its area.
    """
    return np.asarray(patch.axes @ force / np.sqrt(patch.area))


def _pulls(
    link: Link,
    slices: Mapping[str, slice],
    tractions: FloatArray,
    pads: Mapping[PadRef, Pad],
) -> list[tuple[PadRef, FloatArray]]:
    """Both ends of a link, and the force (3,) [N] on each: it pulls them together."""
    tension = tractions[slices[link.name].start]
    pull = tension * np.asarray(pads[link.upper].normal)
    return [(link.lower, pull), (link.upper, -pull)]
