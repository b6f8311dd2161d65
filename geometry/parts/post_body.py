"""Body of the quick-change post: a bored block with a male dovetail."""

from dataclasses import dataclass
from math import pi
from typing import ClassVar

import numpy as np

from geometry.checks import require_lengths, require_wall
from geometry.dovetail import Dovetail
from geometry.feature import SQUARE_DEG, Bore, Notch, Zone, notches_along
from geometry.pad import FloatArray
from geometry.solid import cut, cylinder, prism, section_area


@dataclass(frozen=True, slots=True, kw_only=True)
class PostBody:
    """A square block, bored for the stud, with the dovetail that holders hang on.

    Frame: origin on the stud's axis in the base plane, x away from the work, z up. The
    block fills x, y = -side/2 to side/2 and z = 0 to height. The dovetail stands on
    the face y = -side/2 (t along -y) over the whole height, with its middle at
    x = -dovetail_offset.

    Parameters
    ----------
    side, height : of the block [mm]
    bore : diameter of the stud's hole, right through [mm]
    dovetail : the male one
    dovetail_offset : from the middle toward the work [mm]
    recess : width, measured back from the dovetail's wide corner on the +x side, that
        is cut away over its whole height and depth for the moving flank; None if
        the dovetail is solid [mm]
    """

    size_factor: ClassVar[float] = 1.0

    side: float
    height: float
    bore: float
    dovetail: Dovetail
    dovetail_offset: float
    recess: float | None

    def __post_init__(self) -> None:
        """Refuse a body with a wall too thin, or a recess that does not fit."""
        require_lengths("post body", self, signed=("dovetail_offset",))
        wall = (self.side - self.bore) / 2.0
        values = {"side": self.side, "bore": self.bore}
        advice = "make the body wider or the bore smaller"
        require_wall("post body", "around the bore", wall, values, advice)
        beside = (self.side - self.dovetail.width) / 2.0 - abs(self.dovetail_offset)
        values = {
            "side": self.side,
            "dovetail.width": self.dovetail.width,
            "dovetail_offset": self.dovetail_offset,
        }
        advice = "make the body wider, the dovetail narrower or its offset smaller"
        require_wall("post body", "beside the dovetail", beside, values, advice)
        if self.recess is not None:
            require_recess("post body", self.dovetail, self.recess)

    @property
    def volume(self) -> float:
        """Volume of the body. [mm³]."""
        bored = pi * self.bore**2 / 4.0
        return (section_area(self._section[:, :2]) - bored) * self.height

    @property
    def _section(self) -> FloatArray:
        """Corners seen from above, without the bore, counter-clockwise. (8, 3)."""
        half = self.side / 2.0
        s, t = self.dovetail.section(self.dovetail.depth).T
        if self.recess is not None:
            s = np.minimum(s, self.dovetail.width / 2.0 - self.recess)
        tail = np.column_stack([s - self.dovetail_offset, -half - t])[[0, 3, 2, 1]]
        block = [[half, -half], [half, half], [-half, half], [-half, -half]]
        section = np.vstack([block, tail])
        return np.column_stack([section, np.zeros(len(section))])

    def build(self) -> int:
        """Make the solid in the current Gmsh model; its volume tag."""
        along = (0.0, 0.0, self.height)
        block = prism(self._section, along)
        return cut(block, [cylinder((0.0, 0.0, 0.0), along, self.bore / 2.0)])

    def notches(self) -> tuple[Notch, ...]:
        """Both roots of the dovetail; that of a recess takes the place of one."""
        tail, face = self.dovetail, -self.side / 2.0
        root, along = tail.half_width(0.0), (0.0, 0.0, self.height)
        sides = np.array([-root, root]) - self.dovetail_offset
        starts = np.column_stack([sides, [face, face], [0.0, 0.0]])
        if self.recess is None:
            return notches_along("dovetail root", starts, along, tail.angle_deg)
        starts[1, 0] = tail.width / 2.0 - self.recess - self.dovetail_offset
        return (
            *notches_along("dovetail root", starts[:1], along, tail.angle_deg),
            *notches_along("recess root", starts[1:], along, SQUARE_DEG),
        )

    def zones(self) -> tuple[Zone, ...]:
        """Return the stud's bore."""
        return (Bore(name="stud bore", radius=self.bore / 2.0),)


def require_recess(part: str, dovetail: Dovetail, recess: float) -> None:
    """Refuse a recess that leaves too little of the bar in it, or of the dovetail."""
    values = {
        "recess": recess,
        "dovetail.depth": dovetail.depth,
        "dovetail.angle_deg": dovetail.angle_deg,
    }
    bar = recess - dovetail.overhang
    advice = "make the recess wider, the dovetail less deep or its flanks steeper"
    require_wall(part, "at the root of the moving flank", bar, values, advice)
    left = dovetail.root_width - bar
    values = {"recess": recess, "dovetail.width": dovetail.width}
    advice = "make the recess narrower or the dovetail wider"
    require_wall(part, "at the root of the dovetail", left, values, advice)
