"""Moving flank: the bar that fills the recess and carries the clamped flank."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from geometry.checks import require_lengths
from geometry.dovetail import Dovetail
from geometry.feature import Notch, Zone
from geometry.pad import FloatArray
from geometry.parts.post_body import require_recess
from geometry.solid import prism, section_area


@dataclass(frozen=True, slots=True, kw_only=True)
class MovingFlank:
    """The bar that makes the post body's dovetail whole again.

    Frame: x = 0 in the middle of the dovetail, y = 0 in the body's face (t along -y),
    z = 0 at the bottom of the body. Its back is the plane
    x = dovetail.width/2 - recess, its front the dovetail's flank on the +x side.

    Parameters
    ----------
    height : of the body [mm]
    dovetail : the whole male one
    recess : width of the bar at the dovetail's top [mm]
    """

    size_factor: ClassVar[float] = 1.0

    height: float
    dovetail: Dovetail
    recess: float

    def __post_init__(self) -> None:
        """Refuse a bar that is a knife edge, or all of the dovetail."""
        require_lengths("moving flank", self)
        require_recess("moving flank", self.dovetail, self.recess)

    @property
    def volume(self) -> float:
        """Volume of the bar. [mm³]."""
        return section_area(self._section[:, :2]) * self.height

    @property
    def _section(self) -> FloatArray:
        """Corners seen from above, counter-clockwise. (4, 3)."""
        s, t = self.dovetail.section(self.dovetail.depth).T
        s = np.maximum(s, self.dovetail.width / 2.0 - self.recess)
        return np.column_stack([s, -t, np.zeros(len(s))])[::-1]

    def build(self) -> int:
        """Make the solid in the current Gmsh model; its volume tag."""
        return prism(self._section, (0.0, 0.0, self.height))

    def notches(self) -> tuple[Notch, ...]:
        """There are none."""
        return ()

    def zones(self) -> tuple[Zone, ...]:
        """There are none."""
        return ()
