"""Joints and links: what couples the pads of two parts."""

from dataclasses import dataclass

import numpy as np

from geometry.pad import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class PadRef:
    """A pad of a part, by their names."""

    part: str
    pad: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LinearLaw:
    """Stiffness per area of a closed joint, about its clamped state.

    A law is anything with `stiffness`; one that depends on pressure, lifts and slips
    gives the tangent at the state it is asked about.

    Parameters
    ----------
    first, second : along the pad's sides [N/mm³]
    normal : across the pad [N/mm³]
    """

    first: float
    second: float
    normal: float

    @property
    def stiffness(self) -> FloatArray:
        """Along first, second, normal. (3,) [N/mm³]."""
        return np.array([self.first, self.second, self.normal])


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """Two pads that lie on each other; `lower` is None where ground is below.

    The normal of both pads points from the lower part into the upper one.
    """

    name: str
    lower: PadRef | None
    upper: PadRef
    law: LinearLaw


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
