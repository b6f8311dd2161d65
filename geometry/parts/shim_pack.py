"""Shim pack: the packing under the tool in a four-way block, taken as one plate."""

from dataclasses import dataclass
from typing import ClassVar

from geometry.checks import require_lengths
from geometry.feature import Notch, Zone
from geometry.solid import box


@dataclass(frozen=True, slots=True, kw_only=True)
class ShimPack:
    """Plate as large as the seat of the tool.

    Frame: x along the tool, y across it, z up; it fills x 0 .. length, y 0 .. width,
    z 0 .. height.

    Parameters
    ----------
    length, width, height : [mm]
    """

    length: float
    width: float
    height: float

    size_factor: ClassVar[float] = 1.0

    def __post_init__(self) -> None:
        """Refuse lengths that are none."""
        require_lengths("shims", self)

    @property
    def volume(self) -> float:
        """Volume in closed form. [mm³]."""
        return self.length * self.width * self.height

    def build(self) -> int:
        """Make the solid in the current Gmsh model; its volume tag."""
        return box((0.0, 0.0, 0.0), (self.length, self.width, self.height))

    def notches(self) -> tuple[Notch, ...]:
        """There are none."""
        return ()

    def zones(self) -> tuple[Zone, ...]:
        """There are none."""
        return ()
