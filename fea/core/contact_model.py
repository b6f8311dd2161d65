"""A stack with joints that lift and slip: what the equilibrium is sought for."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cached_property

import numpy as np

from fea.core.contact_law import ContactLaw, ContactPoints
from fea.core.interface import Interface
from fea.core.pad_functions import PadFunctions
from geometry.pad import FloatArray, Pad

# Gauss points along each side of a rectangle, beyond the degree of the functions: the
# law is no polynomial, so the points resolve where a pad lifts.
EXTRA_POINTS = 4

# While a stack is clamped its faces settle: they slide almost freely until nothing but
# the clamping holds them. What is left of the tangential stiffness only keeps a part
# from drifting along a face that nothing else guides.
SETTLING = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class ContactJoint:
    """One joint at the points of its pad.

    Parameters
    ----------
    name : of the joint
    law : closes, lifts, slips
    functions : (k, n) the pad's polynomials at the points [1/mm]
    weights : (n,) [mm²]
    pressure : mean pressure expected when clamped; where the search starts [MPa]
    drive : normal force that a wedge drives the faces together with, or None [N]
    keyed : whether a guide keeps the faces from sliding, whatever the friction
    yields : whether the drive keeps its force when the cut comes, instead of its place
    """

    name: str
    law: ContactLaw
    functions: FloatArray
    weights: FloatArray
    pressure: float
    drive: float | None = None
    yields: bool = False
    keyed: bool = False

    @property
    def leans(self) -> bool:
        """Whether the faces are laid together, and only a cut presses them."""
        return self.pressure == 0.0

    def fresh(self) -> ContactPoints:
        """Points of a joint about to be clamped: no shear, faces free to settle."""
        n = len(self.weights)
        held = self.law.tangential_stiffness(np.full(n, self.pressure))
        if not self.keyed:
            held *= SETTLING
        zero = np.zeros((n, 2))
        return ContactPoints(slide=zero, shear=zero, stiffness=held)

    def jump(self, coefficients: FloatArray) -> FloatArray:
        """Jump at the points. (3 k,) to (n, 3) [mm]."""
        return np.asarray(self.functions.T @ coefficients.reshape(-1, 3))


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringJoint:
    """A joint that stays linear, as the ground. `stiffness` (3 k,) [N/mm³]."""

    name: str
    stiffness: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Tie:
    """A link: tension `preload` [N] when clamped, then stiffness [N/mm] on top."""

    name: str
    stiffness: float
    preload: float


@dataclass(frozen=True, kw_only=True)
class ContactModel:
    """Condensed stack, its joints and links."""

    interface: Interface
    contacts: tuple[ContactJoint, ...]
    springs: tuple[SpringJoint, ...]
    ties: tuple[Tie, ...]

    @cached_property
    def driven(self) -> tuple[ContactJoint, ...]:
        """Contacts that a wedge drives together."""
        return tuple(joint for joint in self.contacts if joint.drive is not None)

    @cached_property
    def spans(self) -> Mapping[str, slice]:
        """Where each contact's points stand among those of all contacts."""
        ends = np.cumsum([len(joint.weights) for joint in self.contacts])
        return {
            joint.name: slice(int(end) - len(joint.weights), int(end))
            for joint, end in zip(self.contacts, ends, strict=True)
        }

    @cached_property
    def law(self) -> ContactLaw:
        """One law for the points of all contacts, its constants (n,) arrays."""

        def constants(name: str) -> FloatArray:
            each = (
                np.broadcast_to(getattr(joint.law, name), len(joint.weights))
                for joint in self.contacts
            )
            return np.concatenate(list(each))

        return ContactLaw(
            **{own.name: constants(own.name) for own in fields(ContactLaw)}
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ContactState:
    """An equilibrium, and what the next one starts from.

    Parameters
    ----------
    coefficients : (m,) jumps of the joints and stretches of the links [mm]
    rigid : (r,) rigid motions of the parts
    advance : (w,) how far each driven joint's wedge has been driven [mm]
    tractions : (m,) coefficients of the tractions, tensions of the links
    tangent : (m, m) block diagonal, of joints and links [N/mm³, N/mm]
    points : joint name to what its points remember
    clamped : False while links keep their preload and wedges their force
    force : (f,) at the tip, and elsewhere if the stack is pushed there [N]
    stretches0 : (m,) coefficients when clamped, from which links stretch [mm]
    """

    coefficients: FloatArray
    rigid: FloatArray
    advance: FloatArray
    tractions: FloatArray
    tangent: FloatArray
    points: dict[str, ContactPoints]
    clamped: bool
    force: FloatArray
    stretches0: FloatArray = field(default_factory=lambda: np.zeros(0))

    def moved(self, **changes: object) -> "ContactState":
        """Return the state with some of its fields changed."""
        return replace(self, **changes)  # type: ignore[arg-type]


def contact_points(pad: Pad, degree: int) -> tuple[FloatArray, FloatArray]:
    """Functions (k, n) and weights (n,) at the points where a law is evaluated."""
    functions = PadFunctions(pad, degree)
    points, weights = functions.quadrature(degree + EXTRA_POINTS)
    return functions.values(points), weights
