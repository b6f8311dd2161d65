"""Where the tip's motion comes from when joints lift and slip: work, member by member.

Between the clamped and the loaded state the work of the cutting force is the sum of the
work done on every joint and link and of the energy stored in every part, all counted
from the clamped state (the clamping forces are in balance among themselves, so by
virtual work they add nothing).
"""

from itertools import pairwise

import numpy as np

from fea.analysis.cutting_path import CutPath
from fea.analysis.response import shares_of
from fea.analysis.result import Share
from fea.core.contact_model import ContactModel, ContactState
from fea.core.stack import Stack, split
from geometry.pad import FloatArray


def work_shares(
    stack: Stack, model: ContactModel, path: CutPath, motion: FloatArray
) -> tuple[Share, ...]:
    """Share of every member in the work of the cut up to the deepest depth held.

    `motion` (n,) is the `elastic_motion` from the clamped state to that depth.
    """
    work = joint_work(model, path)
    for part in stack.parts:
        own = stack.slices[part.name]
        bent = motion[own.start : own.stop - 6]
        work[part.name] = part.material.youngs_modulus_mpa * float(bent @ bent) / 2.0
    return shares_of(stack, work)


def joint_work(model: ContactModel, path: CutPath) -> dict[str, float]:
    """Work done on every joint and link along the path. [N mm]."""
    work = dict.fromkeys(model.interface.slices, 0.0)
    states = [path.clamped, *(step.state for step in path.steps)]
    start = path.clamped.tractions
    for before, after in pairwise(states):
        mean = (before.tractions + after.tractions) / 2.0 - start
        change = mean * (after.coefficients - before.coefficients)
        for name, own in model.interface.slices.items():
            work[name] += float(change[own].sum())
    return work


def elastic_motion(
    stack: Stack, model: ContactModel, clamped: ContactState, loaded: ContactState
) -> FloatArray:
    """Reduced displacement of the stack from one state to another. (n,) [mm]."""
    elastic, rigid, give = split(stack)
    rows = np.vstack([*contact_rows(stack, model)])
    change = loaded.tractions - clamped.tractions
    force = loaded.force - clamped.force
    motion = np.zeros(stack.size)
    pull = stack.tip_rows[:, elastic].T @ force - rows[:, elastic].T @ change
    motion[elastic] = give * pull
    motion[rigid] = loaded.rigid - clamped.rigid
    return motion


def contact_rows(stack: Stack, model: ContactModel) -> list[FloatArray]:
    """Rows of the interface's coefficients in the stack's unknowns, in its order."""
    rows = []
    for name, own in model.interface.slices.items():
        if name in stack.jumps:
            rows.append(stack.jumps[name][: own.stop - own.start])
        else:
            rows.append(stack.stretches[name][None])
    return rows
