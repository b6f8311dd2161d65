"""Measurements that could be made next with what a home shop has."""

from collections.abc import Iterator
from itertools import product

import numpy as np

from fea.case.schema import Case
from fea.core.stack import Part, Stack
from fea.core.surface_point import skin_triangles
from fea.measurement.place_words import DIRECTIONS, PARTS, TOOL
from fea.measurement.record import (
    Heading,
    PushReading,
    Records,
    Source,
    Spot,
    SpringPass,
    StackName,
    TestCut,
)
from geometry.pad import FloatArray

PUSH_N = 150.0
"""Force of a suggested push: a weight, or a spring scale's pull, that a hand holds."""
DIAL_UM = 1.0
"""Standard deviation of a reading of a dial indicator in divisions of 2 um."""
MICROMETER_UM = 3.0
"""Standard deviation of a diameter by a micrometer, taken twice."""
DEPTH_SHARES = (0.25, 0.5, 1.0)
"""Depths of suggested cuts, over the case's deepest."""
NOT_YET = Source(file="not measured yet", line=0)
AXES = ("away from work", "toward tailstock", "down")
"""Ways to push and to watch."""
OUTWARD = np.array([1.0, 0.6, 0.3])
"""Corner of a part where an indicator is easily set: away from work and chuck, high."""
NEAR_TIP_MM = 3.0
"""Behind the cutting edge: where a force can be put on a tool."""


def candidates(case: Case, stack: Stack, name: StackName) -> Records:
    """Return what could be measured on a stack, readings left at 0."""
    deepest = max(case.cut.depths)
    depths = [share * deepest for share in DEPTH_SHARES]
    return Records(
        pushes=tuple(_pushes(stack, name, None)),
        springs=tuple(_spring(case, depth, name) for depth in depths),
        cuts=tuple(_cut(case, depth, name) for depth in depths),
    )


def pushes_at(
    stack: Stack, name: StackName, overhang_mm: float
) -> tuple[PushReading, ...]:
    """Return pushes on the tool, or read there, at another overhang than the case's.

    `stack` with that overhang. What is pushed and read elsewhere hardly changes.
    """
    return tuple(
        push
        for push in _pushes(stack, name, overhang_mm)
        if TOOL in {push.force_at.part, push.read_at.part}
    )


def _spot(part: Part) -> Spot:
    if part.name == TOOL:
        point = np.array([NEAR_TIP_MM, NEAR_TIP_MM, 0.0])
    else:
        skin = np.unique(skin_triangles(part.reduced.tetrahedra))
        points = part.reduced.points[skin] + part.origin
        point = _rounded(points[int((points @ OUTWARD).argmax())])
    return Spot(
        part=part.name, x_mm=float(point[0]), y_mm=float(point[1]), z_mm=float(point[2])
    )


def _rounded(point: FloatArray) -> FloatArray:
    """Return a point as a rule tells it. [mm]."""
    return np.asarray(point.round(1))


def _pushes(
    stack: Stack, name: StackName, overhang_mm: float | None
) -> Iterator[PushReading]:
    """Push along each axis and read along the same, on the same part or another."""
    spots = [_spot(part) for part in stack.parts if part.name in PARTS[name]]
    for pushed, read in product(spots, spots):
        for word in AXES:
            x, y, z = DIRECTIONS[word]
            along = Heading(x=x, y=y, z=z)
            yield PushReading(
                stack=name,
                force_n=PUSH_N,
                force_at=pushed,
                force_along=along,
                read_at=read,
                read_along=along,
                reading_um=0.0,
                uncertainty_um=DIAL_UM,
                phase="loading",
                overhang_mm=overhang_mm,
                source=NOT_YET,
            )


def _spring(case: Case, depth_mm: float, name: StackName) -> SpringPass:
    diameter = case.work.diameter - 2.0 * depth_mm
    return SpringPass(
        stack=name,
        depth_mm=depth_mm,
        feed_mm=case.cut.feed,
        passes=1,
        diameter_set_mm=diameter,
        diameter_got_mm=diameter,
        uncertainty_um=MICROMETER_UM,
        source=NOT_YET,
    )


def _cut(case: Case, depth_mm: float, name: StackName) -> TestCut:
    return TestCut(
        stack=name,
        depth_mm=depth_mm,
        speed_rpm=case.spindle.speed,
        feed_mm=case.cut.feed,
        deflection_um=None,
        uncertainty_um=None,
        seen=None,
        threshold_um=None,
        chatter=False,
        source=NOT_YET,
    )
