"""Law of a joint that closes, lifts and slips, at the points of a pad."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.pad import FloatArray

# A shear within this of Coulomb's limit, relative to it, has reached it. A point that
# has slipped and is asked again where it stands is at the limit but for round-off: it
# is said to slip, and it sticks until it is moved on.
AT_LIMIT = 1e-9

# One value, or (n,) values, one for each point.
Constant = float | FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class ContactLaw:
    """Closure C p^m per unit area, tangential stiffness, Coulomb's limit.

    Parameters
    ----------
    closure : C, of all faces in series together [mm/MPa^m]
    exponent : m [-]
    tangential_ratio : tangential over normal stiffness [-]
    friction : Coulomb's coefficient [-]; infinite where a guide keeps the faces from
        sliding, whether they press or not

    Notes
    -----
    p = (delta / C)^(1/m) where the faces approach, 0 where they part (Levina and
    Reshetov's law of machined joints, as Ito, Modular Design for Machine Tools, gives
    it). Its stiffness vanishes with the pressure, so a joint lifts without a jump.
    """

    closure: Constant
    exponent: Constant
    tangential_ratio: Constant
    friction: Constant

    def pressure(self, approach: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Pressure and normal stiffness at an approach of the faces.

        `approach` (...) [mm], positive when closing; (...) [MPa], (...) [N/mm³].
        """
        relative = np.maximum(approach, 0.0) / self.closure
        inverse = 1.0 / self.exponent
        stiffness = inverse / self.closure * relative ** (inverse - 1.0)
        # A linear law is stiff up to the moment at which the faces part.
        return relative**inverse, np.where(approach > 0.0, stiffness, 0.0)

    def approach(self, pressure: FloatArray) -> FloatArray:
        """Approach of the faces under a pressure >= 0. [MPa] to [mm]."""
        return np.asarray(self.closure * np.power(pressure, self.exponent))

    def tangential_stiffness(self, pressure: FloatArray) -> FloatArray:
        """Shear stress over slide before slip, at a pressure. [MPa] to [N/mm³]."""
        _, normal = self.pressure(self.approach(pressure))
        return self.tangential_ratio * normal


@dataclass(frozen=True, slots=True, kw_only=True)
class ContactPoints:
    """What the points of a pad remember between load steps.

    Parameters
    ----------
    slide : (n, 2) tangential jump at the last equilibrium [mm]
    shear : (n, 2) tangential traction there [MPa]
    stiffness : (n,) tangential stiffness for the next step [N/mm³]
    """

    slide: FloatArray
    shear: FloatArray
    stiffness: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Traction:
    """Traction that resists the jump, and its tangent.

    Parameters
    ----------
    value : (n, 3) along first, second, normal; normal negative under pressure [MPa]
    tangent : (n, 3, 3) [N/mm³]
    pressure : (n,) [MPa]
    slips : (n,) whether the faces press and Coulomb's limit is reached
    """

    value: FloatArray
    tangent: FloatArray
    pressure: FloatArray
    slips: NDArray[np.bool_]


def traction(
    law: ContactLaw, points: ContactPoints, jump: FloatArray, advance: Constant
) -> Traction:
    """Traction at a jump of the faces, by return to Coulomb's cone.

    Parameters
    ----------
    law : of the joint
    points : what they remember
    jump : (n, 3) upper less lower displacement along first, second, normal [mm]
    advance : how far a wedge between the faces has been driven [mm]
    """
    pressure, normal = law.pressure(advance - jump[:, 2])
    trial = points.shear + points.stiffness[:, None] * (jump[:, :2] - points.slide)
    size = np.linalg.norm(trial, axis=1)
    limit, growth = _coulomb(law, pressure, normal)
    slides = size > limit * (1.0 + AT_LIMIT)
    direction = trial / np.where(size > 0.0, size, 1.0)[:, None]
    scale = np.where(slides, limit, size) / np.where(size > 0.0, size, 1.0)
    value = np.empty((len(jump), 3))
    value[:, :2] = scale[:, None] * trial
    value[:, 2] = -pressure
    tangent = np.zeros((len(jump), 3, 3))
    tangent[:, 2, 2] = normal
    held = points.stiffness * np.where(slides, scale, 1.0)
    across = np.einsum("ni,nj->nij", direction, direction)
    tangent[:, :2, :2] = held[:, None, None] * (
        np.eye(2) - np.where(slides, 1.0, 0.0)[:, None, None] * across
    )
    tangent[:, :2, 2] = -np.where(slides, growth, 0.0)[:, None] * direction
    slips = (pressure > 0.0) & (size >= limit * (1.0 - AT_LIMIT))
    return Traction(value=value, tangent=tangent, pressure=pressure, slips=slips)


def remembered(
    law: ContactLaw, points: ContactPoints, jump: FloatArray, at: Traction
) -> ContactPoints:
    """Return what the points remember once an equilibrium is accepted.

    `points` before it, `jump` (n, 3) [mm] and traction there. A guide keeps its own
    stiffness, whatever the pressure.
    """
    stiffness = law.tangential_stiffness(at.pressure)
    return ContactPoints(
        slide=jump[:, :2],
        shear=at.value[:, :2],
        stiffness=np.where(np.isinf(law.friction), points.stiffness, stiffness),
    )


def _coulomb(
    law: ContactLaw, pressure: FloatArray, normal: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Largest shear (n,) [MPa], and how it grows as the faces approach [N/mm³]."""
    guided = np.isinf(law.friction)
    friction = np.where(guided, 0.0, law.friction)
    return np.where(guided, np.inf, friction * pressure), friction * normal
