"""What is asked of a part: a solid, its volume, its mesh size, its features."""

from typing import ClassVar, Protocol

from geometry.feature import Notch, Zone


class Shape(Protocol):
    """A part's dimensions, checked, that can be made into a solid."""

    size_factor: ClassVar[float]

    @property
    def volume(self) -> float:
        """Volume in closed form. [mm³]."""

    def build(self) -> int:
        """Make the solid in the current Gmsh model; its volume tag."""

    def notches(self) -> tuple[Notch, ...]:
        """Re-entrant edges, all of them, in the part's frame."""

    def zones(self) -> tuple[Zone, ...]:
        """Regions with a name; a point in several belongs to the first."""
