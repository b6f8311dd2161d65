"""Joint stiffness about the stated clamping: pressure from force, stiffness from it."""

from fea.core.joint import LinearLaw
from fea.core.joint_surface import load_joint_surfaces
from geometry.pad import Pad

# Joint of a solid stack: as stiff as a layer of its steel this thick, so thin that
# it adds nothing beside the parts. [mm]
BONDED_LAYER = 0.1


def closed(surface: str, force: float, pad: Pad, faces: float = 1.0) -> LinearLaw:
    """Law of a joint closed by a normal force spread evenly over its pad.

    Parameters
    ----------
    surface : key of the joint surface
    force : normal to the pad [N]
    pad : where
    faces : pairs of faces in series; a loose gib or a shim adds one
    """
    return under_pressure(surface, force / pad.area, faces)


def under_pressure(surface: str, pressure: float, faces: float = 1.0) -> LinearLaw:
    """Law of a joint under a stated mean pressure [MPa]; else as `closed`."""
    made = load_joint_surfaces()[surface]
    along = made.tangential_stiffness(pressure) / faces
    return LinearLaw(
        first=along, second=along, normal=made.normal_stiffness(pressure) / faces
    )


def bonded(modulus: float) -> LinearLaw:
    """Law of a joint that is none. `modulus` [MPa] of the parts."""
    k = modulus / BONDED_LAYER
    return LinearLaw(first=k, second=k, normal=k)
