"""Sets of joint constants: their equilibria, and one law for all of their points."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fea.core.contact_law import ContactLaw, ContactPoints, Traction
from fea.core.contact_model import SETTLING, ContactModel
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
    points : of all joints of all sets, one after the other
    stretches0 : (s, m) coefficients when clamped, None before
    held : (s,) whether a set is in equilibrium, and was in all before
    """

    unknowns: FloatArray
    tractions: FloatArray
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


def traction_of(at: Traction, sets: IntArray, count: int) -> Traction:
    """Return tractions at the points of some of the sets."""
    return Traction(
        value=at.value.reshape(count, -1, 3)[sets].reshape(-1, 3),
        tangent=at.tangent.reshape(count, -1, 3, 3)[sets].reshape(-1, 3, 3),
        pressure=at.pressure.reshape(count, -1)[sets].ravel(),
        slips=at.slips.reshape(count, -1)[sets].ravel(),
    )


def point_functions(model: ContactModel) -> tuple[FloatArray, FloatArray]:
    """Jump at all points of a set under unit coefficients and under unit advances.

    (m, p, 3) and (p, w), along the normal.
    """
    spans = model.spans
    count = sum(len(joint.weights) for joint in model.contacts)
    functions = np.zeros((model.interface.size, count, 3))
    advances = np.zeros((count, len(model.driven)))
    for joint in model.contacts:
        block = np.einsum("kn,ab->kanb", joint.functions, np.eye(3))
        own, span = model.interface.slices[joint.name], spans[joint.name]
        functions[own, span] = block.reshape(-1, len(joint.weights), 3)
    for number, joint in enumerate(model.driven):
        advances[spans[joint.name], number] = 1.0
    return functions, advances


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


def clamping_forces(
    model: ContactModel, clamping: Mapping[str, FloatArray], count: int
) -> tuple[FloatArray, FloatArray]:
    """Return forces of wedges (s, w) and preloads of links (s, t). [N].

    `clamping` (s,) factor on them by name, 1 for those that are not there.
    """
    drives = {joint.name: joint.drive or 0.0 for joint in model.driven}
    preloads = {tie.name: tie.preload for tie in model.ties}
    return _scaled(drives, clamping, count), _scaled(preloads, clamping, count)


def fresh_points(
    model: ContactModel,
    law: ContactLaw,
    clamping: Mapping[str, FloatArray],
    count: int,
    sizes: Sequence[int],
) -> ContactPoints:
    """Points of all sets about to be clamped, as `ContactJoint.fresh`.

    `law` of all points; `clamping` (s,) factor on the force of a joint, by name.
    """
    expected = {joint.name: joint.pressure for joint in model.contacts}
    pressure = np.repeat(_scaled(expected, clamping, count), sizes, axis=1)
    free = [1.0 if joint.keyed else SETTLING for joint in model.contacts]
    held = law.tangential_stiffness(pressure.ravel()).reshape(pressure.shape)
    zero = np.zeros((pressure.size, 2))
    stiffness = (held * np.repeat(free, sizes)).ravel()
    return ContactPoints(slide=zero, shear=zero, stiffness=stiffness)


def linear_jacobian(model: ContactModel) -> FloatArray:
    """Tangent of the parts alone: coefficients, rigid motions, advances. (u, u)."""
    own = model.interface.stiffness
    size = len(own) + len(model.driven)
    base = np.zeros((size, size))
    base[: len(own), : len(own)] = own
    return base


def _scaled(
    nominal: Mapping[str, float], factors: Mapping[str, FloatArray], count: int
) -> FloatArray:
    """Values of members, set by set. (s, n)."""
    kept = np.ones(count)
    rows = [value * factors.get(name, kept) for name, value in nominal.items()]
    return np.reshape(rows, (len(nominal), count)).T
