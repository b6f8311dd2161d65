"""Joint laws of a case: the finish of the faces and the force that presses them."""

from dataclasses import replace

from fea.core.joint import LinearLaw
from fea.core.joint_surface import load_joint_surfaces
from fea.core.material import Material
from fea.core.strut import StrutLaw
from fea.core.surface_law import SurfaceLaw
from fea.core.thread import axial_stiffness, lateral_stiffness
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


def leaning(surface: str, pad: Pad) -> SurfaceLaw:
    """Law of a joint whose faces are laid together and not pressed. See `closed`."""
    return closed(surface, 0.0, pad)


def pushing(
    surface: str, force: float, pad: Pad, bearing: float, rod: tuple[float, float]
) -> StrutLaw:
    """Law of a screw or piston whose end pushes on a face.

    Parameters
    ----------
    surface : key of the joint surface
    force : its push when clamped [N]
    pad : patch that stands for its end
    bearing : area of its end [mm²]
    rod : its axial and lateral stiffness [N/mm]
    """
    return StrutLaw(
        surface=load_joint_surfaces()[surface],
        force=force,
        area=pad.area,
        bearing=bearing,
        axial=rod[0],
        lateral=rod[1],
    )


def rod_stiffness(
    diameter: float, length: float, out: float, material: Material
) -> tuple[float, float]:
    """Axial and lateral stiffness of a screw that is held at one end. [N/mm].

    `length` [mm] to its thread; `out` [mm] of it stands free to the side.
    """
    e, nu = material.youngs_modulus_mpa, material.poissons_ratio
    return (
        axial_stiffness(diameter, length, 1, e),
        lateral_stiffness(diameter, out, e, nu),
    )


def bonded(modulus: float) -> LinearLaw:
    """Law of a joint that is none. `modulus` [MPa] of the parts."""
    k = modulus / BONDED_LAYER
    return LinearLaw(first=k, second=k, normal=k)
