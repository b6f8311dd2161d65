"""Four-way block: the plain block that the quick-change post replaces."""

from dataclasses import dataclass
from math import pi
from typing import ClassVar

import numpy as np

from geometry.checks import require_lengths, require_wall
from geometry.feature import SQUARE_DEG, Bore, Lip, Notch, Zone, notches_along
from geometry.pad import as_vector
from geometry.solid import box, cut, cylinder


@dataclass(frozen=True, slots=True, kw_only=True)
class FourWayBlock:
    """A square block, bored for the stud, with a slot along each of its four sides.

    Frame: origin on the stud's axis in the base plane, x away from the work, z up. The
    block fills x, y = -side/2 to side/2 and z = 0 to height; each slot fills
    z = floor to floor + slot_height.

    Parameters
    ----------
    side, height : of the block [mm]
    bore : diameter of the stud's hole, right through [mm]
    floor : height of the slots' floor over the base [mm]
    slot_height, slot_depth : of every slot, along z and inward from its side [mm]
    """

    size_factor: ClassVar[float] = 1.0

    side: float
    height: float
    bore: float
    floor: float
    slot_height: float
    slot_depth: float

    def __post_init__(self) -> None:
        """Refuse a block with a wall too thin."""
        part = "four-way block"
        require_lengths(part, self)
        values = {"floor": self.floor}
        advice = "raise the slots' floor"
        require_wall(part, "under the slots", self.floor, values, advice)
        names = ("height", "floor", "slot_height")
        values = {name: getattr(self, name) for name in names}
        roof = self.height - self.floor - self.slot_height
        advice = "make the block higher, its floor thinner or its slots lower"
        require_wall(part, "over the slots", roof, values, advice)
        core = (self._core - self.bore) / 2.0
        values = {name: getattr(self, name) for name in ("side", "slot_depth", "bore")}
        advice = "make the block wider, its slots less deep or its bore smaller"
        require_wall(part, "between slots and bore", core, values, advice)

    @property
    def _core(self) -> float:
        """Side of the square that opposite slots leave. [mm]."""
        return self.side - 2.0 * self.slot_depth

    @property
    def volume(self) -> float:
        """Volume of the block. [mm³]."""
        slots = (self.side**2 - self._core**2) * self.slot_height
        return self.side**2 * self.height - slots - pi / 4 * self.bore**2 * self.height

    def build(self) -> int:
        """Make the solid in the current Gmsh model; its volume tag."""
        out, core = self.side / 2.0, self._core / 2.0
        low, high = self.floor, self.floor + self.slot_height
        slots = [
            box((-out, -out, low), (out, -core, high)),
            box((-out, core, low), (out, out, high)),
            box((-out, -out, low), (-core, out, high)),
            box((core, -out, low), (out, out, high)),
        ]
        bore = cylinder((0.0, 0.0, 0.0), (0.0, 0.0, self.height), self.bore / 2.0)
        block = box((-out, -out, 0.0), (out, out, self.height))
        return cut(block, [*slots, bore])

    def notches(self) -> tuple[Notch, ...]:
        """Both roots of every slot."""
        core = self._core / 2.0
        corners = core * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        found: tuple[Notch, ...] = ()
        for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
            starts = np.array([[*a, self.floor], [*a, self.floor + self.slot_height]])
            along = as_vector([*(b - a), 0.0])
            found += notches_along("slot root", starts, along, SQUARE_DEG)
        return found

    def zones(self) -> tuple[Zone, ...]:
        """Return the bore, and the plates under and over the slots."""
        out, roof = self.side / 2.0, self.floor + self.slot_height
        under = Lip(
            name="under the slots", low=(-out, -out, 0.0), high=(out, out, self.floor)
        )
        over = Lip(
            name="over the slots", low=(-out, -out, roof), high=(out, out, self.height)
        )
        return Bore(name="stud bore", radius=self.bore / 2.0), under, over
