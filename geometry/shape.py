"""What the mesher asks of a part: a solid, its volume, how fine it wants to be."""

from typing import ClassVar, Protocol


class Shape(Protocol):
    """A part's dimensions, checked, that can be made into a solid."""

    size_factor: ClassVar[float]

    @property
    def volume(self) -> float:
        """Volume in closed form. [mm³]."""

    def build(self) -> int:
        """Make the solid in the current Gmsh model; its volume tag."""
