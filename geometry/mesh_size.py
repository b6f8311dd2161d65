"""How long the edges of a mesh are: fine where stress has a peak, coarse elsewhere."""

from collections.abc import Sequence
from math import ceil

from geometry.errors import InputError
from geometry.pad import Pad

# Below this one part has millions of unknowns, above it the mesher has failed on
# facets that overlap. [mm]
FINEST_MM = 0.5
COARSEST_MM = 25.0

# Edge length at a re-entrant edge, over the coarse one, and its growth per distance.
# There the strain is singular. Measured on holder and body: half the share with the
# same growth takes a third more unknowns and a quarter off the error, which a finer
# mesh as a whole does for less where a part has many such edges.
ROOT_SHARE = 0.2
ROOT_GROWTH = 0.7

# The same around a pad, whose traction ends at its outline with a jump.
PAD_SHARE = 0.6
PAD_GROWTH = 0.8

# Elements across a pad, or across the strip around its window, if that makes them
# smaller: how far a small pad gives under its own load is a matter of its own size.
PAD_ELEMENTS = 3

# Elements around a bore: ten straight sides miss a twentieth of its area.
BORE_ELEMENTS = 10

# The size for which the two counts above are meant. They grow as the size shrinks, so
# that a study of convergence refines everywhere. [mm]
USUAL_MM = 8.0

# A long edge is sampled at most this often, so that a field is made quickly.
MOST_SAMPLES = 4000

# How well the size is integrated along an edge, to place the points on it. With Gmsh's
# own 1e-9 that takes four fifths of a mesh's time, with this a third, for lengths that
# differ by a hundredth. From 1e-5 on edges at a pad's corner come out a fifth longer.
ALONG_EDGES = 1e-6

# One step of refinement: every size times this, those at re-entrant edges once more.
# There the error falls with the first power of the size only, elsewhere with the
# fourth. On holder and block three steps of both kinds, of the first alone, and of the
# first with the second squared leave 8.5e-3, 9.6e-3 and 10.2e-3 at 100,000 unknowns.
STEP = 0.8


def require_size(size: float) -> None:
    """Refuse a mesh size that no part can be meshed with. [mm]."""
    if not FINEST_MM <= size <= COARSEST_MM:
        message = (
            f"mesh size = {size:g} mm: must be from {FINEST_MM:g} to {COARSEST_MM:g} mm"
        )
        raise InputError(message)


def refined_size(size: float, steps: int) -> float:
    """Size far from everything after some steps of refinement. [mm]."""
    return size * float(STEP**steps)


def root_size(size: float, steps: int) -> float:
    """Size at re-entrant edges after some steps of refinement. [mm]."""
    return ROOT_SHARE * refined_size(size, 2 * steps)


def grade(
    size: float,
    roots: Sequence[int],
    pads: Sequence[tuple[Pad, Sequence[int]]],
    steps: int,
) -> None:
    """Set the size of the current Gmsh model's mesh.

    Parameters
    ----------
    size : far away from everything, before the steps [mm]
    roots : curves that are re-entrant edges
    pads : each with the surfaces that it consists of
    steps : of refinement
    """
    import gmsh

    at_roots, size = root_size(size, steps), refined_size(size, steps)
    finer = USUAL_MM / size
    options = {
        "Max": size,
        "ExtendFromBoundary": 0,
        "FromPoints": 0,
        "FromCurvature": BORE_ELEMENTS * max(1.0, finer),
    }
    for option, value in options.items():
        gmsh.option.setNumber(f"Mesh.MeshSize{option}", value)
    gmsh.option.setNumber("Mesh.LcIntegrationPrecision", ALONG_EDGES)
    fields = _grow(roots, at_roots, size, ROOT_GROWTH)
    for pad, surfaces in pads:
        near = min(PAD_SHARE * size, _narrowest(pad) / (PAD_ELEMENTS * finer))
        fields += _grow(_outline(surfaces), near, size, PAD_GROWTH)
    if fields:
        least = gmsh.model.mesh.field.add("Min")
        gmsh.model.mesh.field.setNumbers(least, "FieldsList", fields)
        gmsh.model.mesh.field.setAsBackgroundMesh(least)


def _narrowest(pad: Pad) -> float:
    """Shorter side of a pad, or width of the strip around its window. [mm]."""
    a, b = pad.half_sizes
    if pad.window is None:
        return 2.0 * min(a, b)
    c, d = pad.window
    return min(a - c, b - d)


def _outline(surfaces: Sequence[int]) -> list[int]:
    """Curves around surfaces, those between two of them left out."""
    import gmsh

    entities = [(2, surface) for surface in surfaces]
    return [tag for _, tag in gmsh.model.getBoundary(entities, oriented=False)]


def _grow(curves: Sequence[int], near: float, far: float, growth: float) -> list[int]:
    """Fields whose size grows linearly away from curves, from `near` to `far`. [mm]."""
    import gmsh

    if not curves:
        return []
    add, number = gmsh.model.mesh.field.add, gmsh.model.mesh.field.setNumber
    longest = max(gmsh.model.occ.getMass(1, curve) for curve in curves)
    distance = add("Distance")
    gmsh.model.mesh.field.setNumbers(distance, "CurvesList", curves)
    number(distance, "Sampling", min(MOST_SAMPLES, ceil(2.0 * longest / near)))
    threshold = add("Threshold")
    number(threshold, "InField", distance)
    number(threshold, "SizeMin", near)
    number(threshold, "SizeMax", far)
    number(threshold, "DistMin", 0.0)
    number(threshold, "DistMax", (far - near) / growth)
    return [threshold]
