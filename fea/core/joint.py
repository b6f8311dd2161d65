"""Joints and links: what couples the pads of two parts."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from fea.core.pad_functions import ALONG_FIRST, ALONG_SECOND
from geometry.pad import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class PadRef:
    """A pad of a part, by their names."""

    part: str
    pad: str


class Law(Protocol):
    """What a joint is asked: its stiffness about the state it is in.

    A law that depends on pressure, lifts and slips gives the tangent at that state.
    """

    def coefficient_stiffness(self, count: int) -> FloatArray:
        """Stiffness of the displacement's coefficients on the pad.

        `count` functions of `fea.core.pad_functions`; (3 count,) [N/mm³], the three
        axes of the pad (first, second, normal) innermost.
        """


@dataclass(frozen=True, slots=True, kw_only=True)
class LinearLaw:
    """The same stiffness per area all over a closed joint.

    Parameters
    ----------
    first, second : along the pad's sides [N/mm³]
    normal : across the pad [N/mm³]
    """

    first: float
    second: float
    normal: float

    def coefficient_stiffness(self, count: int) -> FloatArray:
        """As `Law` says: every function has it, because they are orthonormal."""
        return np.tile([self.first, self.second, self.normal], count)


@dataclass(frozen=True, slots=True, kw_only=True)
class FootLaw:
    """Springs that stand on a wider foot than the pad, as a saddle on its bed.

    Shifts of the pad meet the same stiffness as without the foot; its rotations meet
    that of springs spread evenly over the whole foot, which grows by the square of
    the widths. Bending of the pad is left as it is. What stands on the springs with
    the pad, as the saddle does, has its mass spread over the foot in the same way.

    Parameters
    ----------
    springs : stiffness per area of the pad
    inertia : mass per area of the pad [t/mm²]
    wider, longer : foot over pad, along the pad's first and second side
    """

    springs: LinearLaw
    inertia: float
    wider: float
    longer: float

    def coefficient_stiffness(self, count: int) -> FloatArray:
        """As `Law` says."""
        return self._spread(self.springs.coefficient_stiffness(count))

    def coefficient_mass(self, count: int) -> FloatArray:
        """Mass of the displacement's coefficients, as `Law` has it. (3 count,)."""
        return self._spread(np.full(3 * count, self.inertia))

    def _spread(self, on_pad: FloatArray) -> FloatArray:
        """Spread over the foot what is even on the pad. (3 count,)."""
        values = on_pad.reshape(-1, 3).copy()
        if len(values) > ALONG_FIRST:
            values[ALONG_SECOND] *= [self.longer**2, 1.0, self.longer**2]
            values[ALONG_FIRST] *= [1.0, self.wider**2, self.wider**2]
        return values.ravel()


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """Two pads that lie on each other; `lower` is None where ground is below.

    The normal of both pads points from the lower part into the upper one. With a strut
    the pads are patches with a gap between them, straight over each other: a screw or
    piston of the upper part bridges it, and its end touches the lower one.
    """

    name: str
    lower: PadRef | None
    upper: PadRef
    law: Law
    strut: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A pre-tensioned connector between two patches that face each other.

    It acts along the patches' common normal on their mean displacements.

    Parameters
    ----------
    stiffness : of the connector with its threads [N/mm]
    preload : tension positive [N]
    """

    name: str
    lower: PadRef
    upper: PadRef
    stiffness: float
    preload: float
