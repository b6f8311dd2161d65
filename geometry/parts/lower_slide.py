"""Lower slide: carries the top slide on its male ways, stands on the machine."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from geometry.checks import require_lengths, require_wall
from geometry.dovetail import Dovetail
from geometry.feature import Notch, Zone, notches_along
from geometry.pad import FloatArray
from geometry.solid import prism


@dataclass(frozen=True, slots=True, kw_only=True)
class LowerSlide:
    """A block with male dovetail ways on its top.

    Frame: x = 0 in the middle of the ways, y = 0 at the front end (nearest the
    headstock), z = 0 in the plane that the top slide's lands run on. The block fills
    x = -width/2 to width/2, y = 0 to length, z = -height to 0; the ways stand on it
    (t along +z) over the whole length.

    Parameters
    ----------
    length, width, height : of the block, along y, x and z [mm]
    ways : the male ones
    """

    size_factor: ClassVar[float] = 1.0

    length: float
    width: float
    height: float
    ways: Dovetail

    def __post_init__(self) -> None:
        """Refuse ways that are wider than the slide."""
        require_lengths("lower slide", self)
        values = {"width": self.width, "ways.width": self.ways.width}
        beside = (self.width - self.ways.width) / 2.0
        advice = "make the slide wider or its ways narrower"
        require_wall("lower slide", "beside the ways", beside, values, advice)

    @property
    def volume(self) -> float:
        """Volume of the slide with its ways. [mm³]."""
        ways = self.ways.section_area(self.ways.depth)
        return (self.width * self.height + ways) * self.length

    @property
    def _section(self) -> FloatArray:
        """Corners seen along the ways. (8, 3)."""
        half = self.width / 2.0
        low = [[-half, 0.0], [-half, -self.height], [half, -self.height], [half, 0.0]]
        ways = self.ways.section(self.ways.depth)[[1, 2, 3, 0]]
        x, z = np.vstack([low, ways]).T
        return np.column_stack([x, np.zeros_like(x), z])

    def build(self) -> int:
        """Make the solid in the current Gmsh model; its volume tag."""
        return prism(self._section, (0.0, self.length, 0.0))

    def notches(self) -> tuple[Notch, ...]:
        """Both roots of the ways."""
        root = self.ways.half_width(0.0)
        starts = np.array([[-root, 0.0, 0.0], [root, 0.0, 0.0]])
        along = (0.0, self.length, 0.0)
        return notches_along("ways root", starts, along, self.ways.angle_deg)

    def zones(self) -> tuple[Zone, ...]:
        """There are none."""
        return ()
