"""Sets of joint constants: their equilibria, and one law for all of their points."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fea.core.contact_law import ContactLaw, ContactPoints
from fea.core.contact_model import ContactModel
from geometry.mesh import IntArray
from geometry.pad import FloatArray

CONSTANTS = ("closure", "exponent", "tangential_ratio", "friction")


@dataclass(frozen=True, slots=True, kw_only=True)
class SampledState:
    """Equilibria of all sets.

    Parameters
    ----------
    unknowns : (s, m + r + w) coefficients, rigid motions, advances
    tractions : (s, m)
    jacobian : (s, m + r + w, m + r + w)
    points : of all joints of all sets, one after the other
    stretches0 : (s, m) coefficients when clamped, None before
    held : (s,) whether a set is in equilibrium
    """

    unknowns: FloatArray
    tractions: FloatArray
    jacobian: FloatArray
    points: ContactPoints
    stretches0: FloatArray | None
    held: FloatArray


def points_of(points: ContactPoints, sets: IntArray, count: int) -> ContactPoints:
    """Return what the points of some of the sets remember."""
    return ContactPoints(
        slide=points.slide.reshape(count, -1, 2)[sets].reshape(-1, 2),
        shear=points.shear.reshape(count, -1, 2)[sets].reshape(-1, 2),
        stiffness=points.stiffness.reshape(count, -1)[sets].ravel(),
    )


def flat_law(
    model: ContactModel,
    laws: Mapping[str, ContactLaw],
    count: int,
    sizes: Sequence[int],
) -> ContactLaw:
    """One law whose constants are arrays over all points of all sets."""

    def spread(constant: str) -> FloatArray:
        columns = [
            np.repeat(np.reshape(getattr(laws[joint.name], constant), (count, 1)), n, 1)
            for joint, n in zip(model.contacts, sizes, strict=True)
        ]
        return np.hstack(columns).ravel()

    return ContactLaw(**{constant: spread(constant) for constant in CONSTANTS})


def linear_jacobian(model: ContactModel) -> FloatArray:
    """Tangent of the parts alone: coefficients, rigid motions, advances. (u, u)."""
    n = model.interface
    m, r = n.size, n.rigid.shape[1]
    size = m + r + len(model.driven)
    base = np.zeros((size, size))
    coupling = n.inverse @ n.rigid
    base[:m, :m] = n.inverse
    base[:m, m : m + r] = -coupling
    base[m : m + r, :m] = -coupling.T
    base[m : m + r, m : m + r] = n.rigid.T @ coupling
    return base
