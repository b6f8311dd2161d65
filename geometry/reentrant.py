"""Re-entrant edges: where the material goes around a corner and stress has a peak."""

import numpy as np

from geometry.pad import FloatArray

# Points on the circle around the curve: a square inner corner has nine of them
# inside, a flat face six.
CIRCLE = 12

# Share of the circle inside the solid above which the edge is re-entrant: clearly more
# than the half of a flat face, less than the two thirds of a blunt inner corner.
SHARE = 0.6

# Small against every wall, large against the kernel's tolerance of 1e-7. [mm]
RADIUS_MM = 0.02


def re_entrant_curves(volume: int) -> list[int]:
    """Curves of a volume in the current Gmsh model with more inside than outside.

    Each curve is looked at in its middle. That is enough for parts made of flat faces
    and bores, where the angle between two faces does not change along an edge.
    """
    import gmsh

    boundary = gmsh.model.getBoundary([(3, volume)], combined=False, oriented=False)
    edges = gmsh.model.getBoundary(boundary, combined=False, oriented=False)
    curves = sorted({tag for _, tag in edges})
    return [curve for curve in curves if _inside_share(volume, curve) > SHARE]


def _inside_share(volume: int, curve: int) -> float:
    """Share of a small circle around a curve's middle that lies in the volume."""
    import gmsh

    low, high = gmsh.model.getParametrizationBounds(1, curve)
    middle = [(low[0] + high[0]) / 2.0]
    centre = np.asarray(gmsh.model.getValue(1, curve, middle))
    slope = np.asarray(gmsh.model.getDerivative(1, curve, middle))
    inside = gmsh.model.isInside(3, volume, _circle(centre, slope).ravel())
    return float(inside) / CIRCLE


def _circle(centre: FloatArray, axis: FloatArray) -> FloatArray:
    """Points on a small circle around a line. (CIRCLE, 3) [mm]."""
    across = np.cross(axis, np.eye(3)[np.argmin(np.abs(axis))])
    across /= np.linalg.norm(across)
    upward = np.cross(axis / np.linalg.norm(axis), across)
    # Half a step aside of the frame's own planes, in which most faces lie.
    turns = 2.0 * np.pi * (np.arange(CIRCLE) + 0.5) / CIRCLE
    ring = np.outer(np.cos(turns), across) + np.outer(np.sin(turns), upward)
    return np.asarray(centre + RADIUS_MM * ring)
