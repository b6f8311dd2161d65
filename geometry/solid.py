"""Solids that parts are made of, in the current Gmsh model."""

from collections.abc import Sequence

import numpy as np

from geometry.pad import FloatArray, Vector


def box(low: Vector, high: Vector) -> int:
    """Volume between two opposite corners. [mm]."""
    import gmsh

    sides = np.subtract(high, low)
    return int(gmsh.model.occ.addBox(*low, *sides))


def prism(corners: FloatArray, along: Vector) -> int:
    """Volume swept by a plane polygon. `corners` (n, 3), `along` (3,) [mm]."""
    import gmsh

    swept = gmsh.model.occ.extrude([(2, face(corners))], *along)
    return next(int(tag) for dim, tag in swept if dim == 3)


def cylinder(base: Vector, along: Vector, radius: float) -> int:
    """Volume of a round bar. [mm]."""
    import gmsh

    return int(gmsh.model.occ.addCylinder(*base, *along, radius))


def cut(volume: int, tools: Sequence[int]) -> int:
    """Volume less the tools, which are used up."""
    import gmsh

    left, _ = gmsh.model.occ.cut([(3, volume)], [(3, tool) for tool in tools])
    return int(left[0][1])


def face(corners: FloatArray) -> int:
    """Plane surface within a polygon. `corners` (n, 3) [mm]."""
    import gmsh

    occ = gmsh.model.occ
    points = [occ.addPoint(*corner) for corner in corners]
    ends = points[1:] + points[:1]
    lines = [occ.addLine(*pair) for pair in zip(points, ends, strict=True)]
    return int(occ.addPlaneSurface([occ.addCurveLoop(lines)]))


def turn(volume: int, rotation: FloatArray) -> None:
    """Turn a volume about the origin. `rotation` (3, 3), orthogonal, no mirror."""
    import gmsh

    angle, axis = angle_and_axis(rotation)
    gmsh.model.occ.rotate([(3, volume)], 0.0, 0.0, 0.0, *axis, angle)


def angle_and_axis(rotation: FloatArray) -> tuple[float, FloatArray]:
    """Angle and unit axis of a rotation. (3, 3) to [rad] and (3,)."""
    values, vectors = np.linalg.eig(rotation)
    axis = np.real(vectors[:, np.argmin(np.abs(values - 1.0))])
    across = np.cross(axis, np.eye(3)[np.argmin(np.abs(axis))])
    turned = rotation @ across
    angle = np.arctan2(np.cross(across, turned) @ axis, across @ turned)
    return float(angle), axis


def section_area(corners: FloatArray) -> float:
    """Area of a plane polygon, positive if counter-clockwise. (n, 2) to [mm²]."""
    x, y = corners.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2.0
