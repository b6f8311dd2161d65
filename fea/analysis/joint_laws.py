"""Joint laws of a case: the finish of the faces and the force that presses them."""

from dataclasses import replace

from fea.core.joint import LinearLaw
from fea.core.joint_surface import load_joint_surfaces
from fea.core.surface_law import SurfaceLaw
from geometry.pad import Pad

# Joint of a solid stack: as stiff as a layer of its steel this thick, so thin that
# it adds nothing beside the parts. [mm]
BONDED_LAYER = 0.1


def closed(surface: str, force: float, pad: Pad, faces: float = 1.0) -> SurfaceLaw:
    """Law of a joint that other members close by a normal force.

    Parameters
    ----------
    surface : key of the joint surface
    force : expected normal to the pad [N]
    pad : where
    faces : pairs of faces in series; a loose gib or a shim adds one
    """
    finish = load_joint_surfaces()[surface]
    return SurfaceLaw(surface=finish, pressure=force / pad.area, faces=faces)


def driven(
    surface: str, force: float, pad: Pad, faces: float = 1.0, *, yields: bool = False
) -> SurfaceLaw:
    """Law of a joint that is driven closed by a wedge or gib between its faces.

    `yields`: it keeps its force when the cut comes; else its place. See `closed`.
    """
    return replace(closed(surface, force, pad, faces), drive=force, yields=yields)


def bonded(modulus: float) -> LinearLaw:
    """Law of a joint that is none. `modulus` [MPa] of the parts."""
    k = modulus / BONDED_LAYER
    return LinearLaw(first=k, second=k, normal=k)
