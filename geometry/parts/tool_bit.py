"""Tool bit: a shank with the cutting edge at its corner."""

from dataclasses import dataclass
from typing import ClassVar

from geometry.checks import require_lengths, require_wall
from geometry.feature import Notch, Zone
from geometry.solid import box


@dataclass(frozen=True, slots=True, kw_only=True)
class ToolBit:
    """A bar whose top corner carries the load on a small square patch.

    Frame: origin at the nominal tool tip, x along the shank away from the work, z up.
    The tip is the middle of the patch, so the bar fills x = -tip_patch/2 to
    length - tip_patch/2, y = -tip_patch/2 to width - tip_patch/2, z = -height to 0.

    Parameters
    ----------
    height, width, length : of the bar [mm]
    tip_patch : side of the patch that carries the load [mm]
    """

    # The slenderest part of a stack bends most, so its mesh is finer than the others.
    size_factor: ClassVar[float] = 0.5

    height: float
    width: float
    length: float
    tip_patch: float

    def __post_init__(self) -> None:
        """Refuse a patch that does not fit on the bar."""
        require_lengths("tool bit", self)
        for field in ("width", "length"):
            side = getattr(self, field)
            values = {"tip_patch": self.tip_patch, field: side}
            advice = "make the patch smaller"
            beside = side - self.tip_patch
            require_wall("tool bit", "beside the patch", beside, values, advice)

    @property
    def volume(self) -> float:
        """Volume of the bar. [mm³]."""
        return self.height * self.width * self.length

    def build(self) -> int:
        """Make the solid in the current Gmsh model; its volume tag."""
        edge = -self.tip_patch / 2.0
        high = (edge + self.length, edge + self.width, 0.0)
        return box((edge, edge, -self.height), high)

    def notches(self) -> tuple[Notch, ...]:
        """There are none."""
        return ()

    def zones(self) -> tuple[Zone, ...]:
        """There are none."""
        return ()
