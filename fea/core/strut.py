"""A screw or piston of one part whose end pushes on another: one point of contact."""

from dataclasses import dataclass

import numpy as np

from fea.core.contact_law import Constant, ContactLaw
from fea.core.joint_surface import JointSurface
from fea.core.pad_functions import PadFunctions, function_count
from geometry.pad import FloatArray, Pad
from geometry.units import MM_PER_UM

# Degree of the functions that tell how a patch tilts.
TILT_DEGREE = 1
TILT_ROWS = 3 * function_count(TILT_DEGREE)


@dataclass(frozen=True, slots=True, kw_only=True)
class StrutLaw:
    """A strut in series with the contact at its end.

    It is driven until it pushes with its force, and then held where it stands by its
    thread. It can only push, and its end slides at Coulomb's limit.

    Parameters
    ----------
    surface : finish of its end and of what it pushes on
    force : its push when clamped [N]
    area : of the patch that stands for its end in the mesh [mm²]
    bearing : area on which its end really bears [mm²]
    axial, lateral : stiffness of the strut itself, held where it leaves its part [N/mm]

    Notes
    -----
    How the end's contact closes is taken at the clamping force, so that the whole is
    one spring. At such high pressures it gives about as much as the strut.
    """

    surface: JointSurface
    force: float
    area: float
    bearing: float
    axial: float
    lateral: float

    @property
    def pressure(self) -> float:
        """Force over the patch's area. [MPa]."""
        return self.force / self.area

    @property
    def contact(self) -> ContactLaw:
        """The law over the patch's area: linear, without pull, with friction."""
        finish = self.surface
        return self.contact_of(
            finish.closure_um * MM_PER_UM,
            finish.exponent,
            finish.tangential_ratio,
            finish.friction,
        )

    def contact_of(
        self,
        closure: Constant,
        exponent: Constant,
        tangential_ratio: Constant,
        friction: Constant,
    ) -> ContactLaw:
        """Return the law with other constants of the end's contact, as `ContactLaw`."""
        pressure = self.force / self.bearing
        closing = self.bearing * pressure ** (1.0 - exponent) / (closure * exponent)
        normal = 1.0 / (1.0 / self.axial + 1.0 / closing)
        along = 1.0 / (1.0 / self.lateral + 1.0 / (tangential_ratio * closing))
        return ContactLaw(
            closure=self.area / normal,
            exponent=np.ones_like(normal),
            tangential_ratio=along / normal,
            friction=friction,
        )

    def coefficient_stiffness(self, count: int) -> FloatArray:
        """As `fea.core.joint.Law` says."""
        law = self.contact
        normal = 1.0 / law.closure
        along = law.tangential_ratio * normal
        return np.tile([along, along, normal], count)


def end_of_strut(lower: Pad, upper: Pad) -> FloatArray:
    """Motion of a strut's end from its root's motion. (3, 9).

    Parameters
    ----------
    lower : patch that the end touches
    upper : patch of the same size straight above it, from which the strut stands out

    Returns
    -------
    Rows that give the end's coefficients of degree 0 from the upper patch's of degree 1
    (three axes innermost, in both).

    Notes
    -----
    The end moves with the root's mean and, by its tilt times the gap, sideways: then a
    common rotation of both parts leaves no jump between end and lower patch.
    """
    gap = float(np.subtract(upper.centre, lower.centre) @ np.asarray(upper.normal))
    # A coefficient of degree 0 is the mean times the root of the area.
    sideways = gap * np.sqrt(upper.area) * PadFunctions(upper, TILT_DEGREE).slopes()
    end = np.zeros((3, TILT_ROWS))
    end[:, :3] = np.eye(3)
    end[:2, 2::3] = sideways
    return end
