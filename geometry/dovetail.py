"""The dovetail's section: one dataclass for posts and for slideways."""

from dataclasses import dataclass
from math import cos, isfinite, radians, sin, tan

import numpy as np

from geometry.checks import LARGEST_MM, LEAST_WALL_MM, require_length
from geometry.errors import ShapeError
from geometry.pad import FloatArray, Pad, as_vector

# Flatter flanks leave a knife edge, steeper ones no longer hold: dovetail cutters are
# sold for 45, 55 and 60 degrees.
FLATTEST_DEG = 40.0
STEEPEST_DEG = 80.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Dovetail:
    """Section of a dovetail, in its own plane (s across, t up from the root).

    Parameters
    ----------
    width : across the wide top of the male dovetail [mm]
    depth : from the face it stands on to its top [mm]
    angle_deg : between flank and face; 60 in most shops
    clearance : how much deeper the female dovetail is than the male one is high [mm]
    """

    width: float
    depth: float
    angle_deg: float
    clearance: float

    def __post_init__(self) -> None:
        """Refuse a section that cannot be cut."""
        part = "dovetail"
        require_length(part, "width", self.width)
        require_length(part, "depth", self.depth)
        if not (isfinite(self.angle_deg) and self._angle_is_sensible):
            allowed = f"from {FLATTEST_DEG:g} to {STEEPEST_DEG:g} degrees"
            problem = f"{self.angle_deg:g} degrees must be {allowed}"
            raise ShapeError(part, ("angle_deg",), problem)
        if not 0.0 <= self.clearance <= LARGEST_MM:
            problem = f"{self.clearance:g} mm must be 0 or more"
            raise ShapeError(part, ("clearance",), problem)
        if self.root_width < LEAST_WALL_MM:
            problem = (
                f"width = {self.width:g} mm, depth = {self.depth:g} mm and angle_deg "
                f"= {self.angle_deg:g} leave a root {self.root_width:.4g} mm wide, at "
                f"least {LEAST_WALL_MM:g} mm is needed; make the dovetail wider, less "
                "deep or its flanks steeper"
            )
            raise ShapeError(part, ("width", "depth", "angle_deg"), problem)

    @property
    def _angle_is_sensible(self) -> bool:
        return FLATTEST_DEG <= self.angle_deg <= STEEPEST_DEG

    @property
    def overhang(self) -> float:
        """How far a male flank leans out over its root. [mm]."""
        return self.depth / tan(radians(self.angle_deg))

    @property
    def root_width(self) -> float:
        """Width at the root of the male dovetail, its narrowest. [mm]."""
        return self.width - 2.0 * self.overhang

    @property
    def flank_length(self) -> float:
        """Length of the male flank in the section. [mm]."""
        return self.depth / sin(radians(self.angle_deg))

    @property
    def female_depth(self) -> float:
        """Depth of the female dovetail. [mm]."""
        return self.depth + self.clearance

    @property
    def female_width(self) -> float:
        """Width at the bottom of the female dovetail, its widest. [mm]."""
        return 2.0 * self.half_width(self.female_depth)

    def half_width(self, t: float) -> float:
        """Half width at height t over the root; the flanks are straight. [mm]."""
        return self.root_width / 2.0 + t / tan(radians(self.angle_deg))

    def section(self, height: float) -> FloatArray:
        """Corners (s, t) from the root to a height, counter-clockwise. (4, 2) [mm]."""
        root, top = self.half_width(0.0), self.half_width(height)
        return np.array([[-root, 0.0], [root, 0.0], [top, height], [-top, height]])

    def section_area(self, height: float) -> float:
        """Area of the section up to a height over the root. [mm²]."""
        return height * (self.half_width(0.0) + self.half_width(height))


def flank_pad(
    name: str,
    dovetail: Dovetail,
    side: int,
    root: FloatArray,
    across: FloatArray,
    up: FloatArray,
    span: tuple[float, float],
) -> Pad:
    """Pad on a flank, its normal out of the male dovetail.

    Parameters
    ----------
    name : of the pad
    dovetail : its section
    side : -1 or 1, which flank along `across`
    root : (3,) a point in the middle of the root [mm]
    across, up : (3,) unit vectors of the section's s and t
    span : from and to, along -(across x up), counted from `root` [mm]
    """
    angle = radians(dovetail.angle_deg)
    along = -np.cross(across, up)
    s = side * (dovetail.half_width(0.0) + dovetail.half_width(dovetail.depth)) / 2.0
    middle = root + s * across + dovetail.depth / 2.0 * up + sum(span) / 2.0 * along
    return Pad(
        name=name,
        centre=as_vector(middle),
        first=as_vector(side * cos(angle) * across + sin(angle) * up),
        second=as_vector(-side * along),
        half_sizes=(dovetail.flank_length / 2.0, (span[1] - span[0]) / 2.0),
    )
