"""Tool holder: a slot for the shank on one side, a female dovetail on the other."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from geometry.checks import require_lengths, require_wall
from geometry.dovetail import Dovetail
from geometry.feature import SQUARE_DEG, Lip, Notch, Zone, notches_along
from geometry.pad import FloatArray
from geometry.solid import box, cut, prism, section_area


@dataclass(frozen=True, slots=True, kw_only=True)
class Holder:
    """A block with a slot along the tool and a dovetail across it.

    Frame: x along the tool away from the work, 0 at the end nearest the work; y = 0 is
    the face that seats on the post, the holder lies behind it, at y = -thickness to 0;
    z = 0 at the bottom. The slot is open at y = -thickness and runs through the whole
    length. The dovetail opens at y = 0 (t along -y), runs through the whole height,
    and has its middle at x = length/2 - dovetail_offset.

    Parameters
    ----------
    length, height, thickness : of the block, along x, z and y [mm]
    floor : height of the slot's floor over the bottom [mm]
    slot_height, slot_depth : of the slot, along z and y [mm]
    dovetail : the post's; it is cut `female_depth` deep
    dovetail_offset : from the middle toward the work [mm]
    """

    size_factor: ClassVar[float] = 1.0

    length: float
    height: float
    thickness: float
    floor: float
    slot_height: float
    slot_depth: float
    dovetail: Dovetail
    dovetail_offset: float

    def __post_init__(self) -> None:
        """Refuse a holder with a wall too thin."""
        require_lengths("holder", self, signed=("dovetail_offset",))
        self._check_slot()
        self._check_dovetail()

    def _check_slot(self) -> None:
        values = {"floor": self.floor}
        advice = "raise the slot's floor"
        require_wall("holder", "under the slot", self.floor, values, advice)
        roof = self.height - self.floor - self.slot_height
        names = ("height", "floor", "slot_height")
        values = {name: getattr(self, name) for name in names}
        advice = "make the holder higher, its floor thinner or its slot lower"
        require_wall("holder", "over the slot", roof, values, advice)

    def _check_dovetail(self) -> None:
        depth = self.dovetail.female_depth
        back = self.thickness - self.slot_depth - depth
        values = {name: getattr(self, name) for name in ("thickness", "slot_depth")}
        values |= {
            "dovetail.depth": self.dovetail.depth,
            "dovetail.clearance": self.dovetail.clearance,
        }
        where = "between slot and dovetail"
        advice = "make the holder thicker, or its slot or the dovetail less deep"
        require_wall("holder", where, back, values, advice)
        side = (self.length - self.dovetail.female_width) / 2.0
        values = {
            "length": self.length,
            "dovetail.width": self.dovetail.width,
            "dovetail_offset": self.dovetail_offset,
        }
        where = "beside the dovetail"
        advice = "make the holder longer, the dovetail narrower or its offset smaller"
        side -= abs(self.dovetail_offset)
        require_wall("holder", where, side, values, advice)

    @property
    def volume(self) -> float:
        """Volume of the holder. [mm³]."""
        slot = self.length * self.slot_height * self.slot_depth
        return section_area(self._section[:, :2]) * self.height - slot

    @property
    def _middle(self) -> float:
        """Where along x the middle of the dovetail is. [mm]."""
        return self.length / 2.0 - self.dovetail_offset

    @property
    def _section(self) -> FloatArray:
        """Corners seen from above, without the slot, counter-clockwise. (8, 3)."""
        s, t = self.dovetail.section(self.dovetail.female_depth).T
        groove = np.column_stack([self._middle + s, -t])[[1, 2, 3, 0]]
        back = -self.thickness
        block = [[0.0, 0.0], [0.0, back], [self.length, back], [self.length, 0.0]]
        section = np.vstack([block, groove])
        return np.column_stack([section, np.zeros(len(section))])

    def build(self) -> int:
        """Make the solid in the current Gmsh model; its volume tag."""
        block = prism(self._section, (0.0, 0.0, self.height))
        back = -self.thickness
        high = (self.length, back + self.slot_depth, self.floor + self.slot_height)
        return cut(block, [box((0.0, back, self.floor), high)])

    def notches(self) -> tuple[Notch, ...]:
        """Both roots of the slot and both corners of the dovetail."""
        wall = self.slot_depth - self.thickness
        roof = self.floor + self.slot_height
        starts = np.array([[0.0, wall, self.floor], [0.0, wall, roof]])
        along = (self.length, 0.0, 0.0)
        slot = notches_along("slot root", starts, along, SQUARE_DEG)
        depth = self.dovetail.female_depth
        half = self.dovetail.half_width(depth)
        starts = np.array([[self._middle - half, -depth, 0.0]] * 2)
        starts[1, 0] = self._middle + half
        along = (0.0, 0.0, self.height)
        angle = self.dovetail.angle_deg
        return slot + notches_along("dovetail root", starts, along, angle)

    def zones(self) -> tuple[Zone, ...]:
        """Return the lips of slot and dovetail."""
        back, wall = -self.thickness, self.slot_depth - self.thickness
        roof, depth = self.floor + self.slot_height, self.dovetail.female_depth
        left, right = (
            self._middle + side * self.dovetail.half_width(0.0) for side in (-1, 1)
        )
        boxes = {
            "lip under the slot": ((0.0, back, 0.0), (self.length, wall, self.floor)),
            "lip over the slot": (
                (0.0, back, roof),
                (self.length, wall, self.height),
            ),
            "dovetail lip near work": ((0.0, -depth, 0.0), (left, 0.0, self.height)),
            "dovetail lip far": (
                (right, -depth, 0.0),
                (self.length, 0.0, self.height),
            ),
        }
        return tuple(
            Lip(name=name, low=low, high=high) for name, (low, high) in boxes.items()
        )
