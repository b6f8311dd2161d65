"""A joint between two machined faces: linear about its clamping, or in full."""

from dataclasses import dataclass

import numpy as np

from fea.core.contact_law import ContactLaw
from fea.core.joint_surface import JointSurface
from geometry.pad import FloatArray
from geometry.units import MM_PER_UM


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceLaw:
    """What a joint is made of and how it is pressed.

    As a `Law` it gives the stiffness under its mean pressure; `contact` is the law that
    also lifts and slips.

    Parameters
    ----------
    surface : finish of the faces
    pressure : mean pressure expected when clamped [MPa]
    faces : pairs of faces in series; a loose gib or a shim adds one
    drive : normal force that a wedge or gib drives the faces together with, or None [N]
    yields : whether the drive keeps its force when the cut comes, instead of its place
    keyed : whether a guide keeps the faces from sliding, whatever the friction
    """

    surface: JointSurface
    pressure: float
    faces: float = 1.0
    drive: float | None = None
    yields: bool = False
    keyed: bool = False

    @property
    def normal(self) -> float:
        """Normal stiffness under the mean pressure. [N/mm³]."""
        return self.surface.normal_stiffness(self.pressure) / self.faces

    @property
    def tangential(self) -> float:
        """Tangential stiffness under the mean pressure, before slip. [N/mm³]."""
        return self.surface.tangential_stiffness(self.pressure) / self.faces

    def coefficient_stiffness(self, count: int) -> FloatArray:
        """As `fea.core.joint.Law` says, about the mean pressure."""
        return np.tile([self.tangential, self.tangential, self.normal], count)

    @property
    def contact(self) -> ContactLaw:
        """The law of the faces in series."""
        return ContactLaw(
            closure=self.faces * self.surface.closure_um * MM_PER_UM,
            exponent=self.surface.exponent,
            tangential_ratio=self.surface.tangential_ratio,
            friction=np.inf if self.keyed else self.surface.friction,
        )
