"""Push tests as paths of a force: what was loaded and unloaded in one go."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from fea.core.contact_samples import SampledStack
from fea.core.contact_sets import SampledState
from fea.measurement.bench import Bench
from fea.measurement.record import PushReading
from geometry.pad import FloatArray
from geometry.units import UM_PER_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class PushCourse:
    """One set-up of weight and indicator, its forces in the order in which they came.

    Parameters
    ----------
    pushed, read : numbers of the bench's forces
    force_n : (n,)
    """

    pushed: int
    read: int
    force_n: FloatArray


def push_courses(bench: Bench, pushes: Sequence[PushReading]) -> list[PushCourse]:
    """Group readings of one set-up that follow each other, in their order."""

    def setup(push: PushReading) -> tuple[object, ...]:
        return push.force_at, push.force_along, push.read_at, push.read_along

    found = []
    for _, group in groupby(pushes, key=setup):
        rows = list(group)
        first = rows[0]
        found.append(
            PushCourse(
                pushed=bench.force_number((first.force_at, first.force_along)),
                read=bench.force_number((first.read_at, first.read_along)),
                force_n=np.array([row.force_n for row in rows]),
            )
        )
    return found


def followed(
    course: PushCourse, sampled: SampledStack, clamped: SampledState
) -> FloatArray:
    """Follow a course through slip. (s, n) [um]; NaN where a joint is lost."""
    rest = np.zeros(sampled.model.interface.forces)
    start = sampled.tip_motion(clamped, rest)[:, course.read]
    state, found = clamped, []
    for newtons in course.force_n:
        force = rest.copy()
        force[course.pushed] = newtons
        state = sampled.load(state, force)
        motion = sampled.tip_motion(state, force)[:, course.read] - start
        found.append(np.where(state.held, motion, np.nan))
    return np.column_stack(found) * UM_PER_MM


def tangent_readings(course: PushCourse, compliance: FloatArray) -> FloatArray:
    """Return readings without slip. `compliance` (s, f, f) [mm/N] to (s, n) [um]."""
    give = compliance[:, course.read, course.pushed]
    return np.asarray(np.outer(give, course.force_n) * UM_PER_MM)
