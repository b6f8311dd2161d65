"""Top slide: carries the post, runs on dovetail ways."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from geometry.checks import require_lengths, require_wall
from geometry.dovetail import Dovetail
from geometry.feature import SQUARE_DEG, Notch, Zone, notches_along
from geometry.pad import as_vector
from geometry.solid import box, cut, prism


@dataclass(frozen=True, slots=True, kw_only=True)
class TopSlide:
    """A block with female dovetail ways in its bottom.

    Frame: origin on the stud's axis in the top face, y along the ways toward the
    tailstock, z up. The block fills x = -width/2 to width/2, y = -stud_from_front to
    length - stud_from_front, z = -height to 0. The ways open at z = -height (t along
    +z), have their middle at x = 0 and run from the front to the end wall.

    Parameters
    ----------
    length, width, height : of the block, along y, x and z [mm]
    stud_from_front : from the front end to the stud's axis [mm]
    ways : they are cut `female_depth` deep
    end_wall : what is left of the ways' length at the back; 0 if they run through [mm]
    """

    size_factor: ClassVar[float] = 1.0

    length: float
    width: float
    height: float
    stud_from_front: float
    ways: Dovetail
    end_wall: float

    def __post_init__(self) -> None:
        """Refuse a slide with a wall too thin, or a stud beside it."""
        part = "top slide"
        require_lengths(part, self, signed=("end_wall",))
        values = {"width": self.width, "ways.width": self.ways.width}
        beside = (self.width - self.ways.female_width) / 2.0
        advice = "make the slide wider or its ways narrower"
        require_wall(part, "beside the ways", beside, values, advice)
        values = {
            "height": self.height,
            "ways.depth": self.ways.depth,
            "ways.clearance": self.ways.clearance,
        }
        over = self.height - self.ways.female_depth
        advice = "make the slide higher or its ways less deep"
        require_wall(part, "over the ways", over, values, advice)
        self._check_length(part)

    def _check_length(self, part: str) -> None:
        values = {"length": self.length, "stud_from_front": self.stud_from_front}
        behind = self.length - self.stud_from_front
        advice = "make the slide longer or bring the stud forward"
        require_wall(part, "behind the stud", behind, values, advice)
        if self.end_wall == 0.0:
            return
        advice = "make the end wall thicker, or 0 for ways that run through"
        values = {"end_wall": self.end_wall}
        require_wall(part, "at the end of the ways", self.end_wall, values, advice)
        values = {"length": self.length, "end_wall": self.end_wall}
        ways = self.length - self.end_wall
        advice = "make the slide longer or its end wall thinner"
        require_wall(part, "along the ways", ways, values, advice)

    @property
    def volume(self) -> float:
        """Volume of the slide. [mm³]."""
        ways = self.ways.section_area(self.ways.female_depth)
        block = self.length * self.width * self.height
        return block - ways * (self.length - self.end_wall)

    def build(self) -> int:
        """Make the solid in the current Gmsh model; its volume tag."""
        half, front = self.width / 2.0, -self.stud_from_front
        high = (half, front + self.length, 0.0)
        block = box((-half, front, -self.height), high)
        s, t = self.ways.section(self.ways.female_depth).T
        section = np.column_stack([s, np.full_like(s, front), t - self.height])
        along = (0.0, self.length - self.end_wall, 0.0)
        return cut(block, [prism(section, along)])

    def notches(self) -> tuple[Notch, ...]:
        """Both corners of the ways, and their three edges at the end wall."""
        front, depth = -self.stud_from_front, self.ways.female_depth
        half, run = self.ways.half_width(depth), self.length - self.end_wall
        top = depth - self.height
        starts = np.array([[-half, front, top], [half, front, top]])
        along = (0.0, run, 0.0)
        roots = notches_along("ways root", starts, along, self.ways.angle_deg)
        if self.end_wall == 0.0:
            return roots
        s, t = self.ways.section(depth).T
        corners = np.column_stack([s, np.full_like(s, front + run), t - self.height])
        ends = tuple(
            Notch(
                name="end of the ways",
                start=as_vector(corners[a]),
                end=as_vector(corners[b]),
                opening_deg=SQUARE_DEG,
            )
            for a, b in ((1, 2), (2, 3), (3, 0))
        )
        return roots + ends

    def zones(self) -> tuple[Zone, ...]:
        """There are none."""
        return ()
