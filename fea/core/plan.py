"""The plan of a stack: what stands where and touches what, before it is meshed."""

from dataclasses import dataclass

import numpy as np

from fea.core.joint import Joint, Link, PadRef
from fea.core.material import Material
from geometry.pad import Pad, Vector
from geometry.shape import Shape


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPlan:
    """One part: its shape, its material, its place and its pads.

    Parameters
    ----------
    name : unique in the stack
    shape : dimensions in the part's own frame
    material : what it is made of
    origin : (3,) [mm] of the part's frame in the machine frame; the axes are parallel
    contacts : pads that lie on other parts, in the machine frame
    patches : pads of which only mean and tilt count (tip, links, struts), likewise
    refined : steps by which its mesh is finer than those of other parts
    """

    name: str
    shape: Shape
    material: Material
    origin: Vector
    contacts: tuple[Pad, ...]
    patches: tuple[Pad, ...]
    refined: int = 0

    def own(self, pads: tuple[Pad, ...]) -> tuple[Pad, ...]:
        """Return pads of the machine frame in the part's frame."""
        return tuple(pad.moved(-np.asarray(self.origin)) for pad in pads)


@dataclass(frozen=True, slots=True, kw_only=True)
class StackPlan:
    """A whole stack on paper."""

    name: str
    parts: tuple[PartPlan, ...]
    joints: tuple[Joint, ...]
    links: tuple[Link, ...]
    tip: PadRef
