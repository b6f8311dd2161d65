"""What is drawn on the shop sheet: views, dimensions, angles, notes, pins; as data."""

from dataclasses import dataclass, field
from enum import StrEnum

from geometry.projection import Projection

Point = tuple[float, float]

# Heights of letters, as small drawings have them (about ISO 3098, from memory), and
# distances that keep lines and letters apart. All in mm of paper.
TEXT_MM = 2.2
TITLE_MM = 2.6
FIRST_ROW_MM = 6.5
ROW_MM = 5.5
TWO_LINES_MM = 7.0  # where texts stand over and under a line
ARROW_MM = 2.0
ARROW_TAIL = 2.0  # of an arrow from outside, in arrows
LEAST_ARROWED = 3.0  # two arrows and a piece of line between them
NOTE_MM = 2.0  # from a view to a note beside it
BEYOND_MM = 1.2  # extension lines, past the dimension line
LIFT_MM = 0.6  # of a text over its line
LEAST_ROOM_MM = 2.0  # around a view without dimensions

# Width of letters over the size of the font: digits of a plain sans serif, wider than
# most small letters; and what is narrower than both.
LETTER_EM = 0.64
NARROW_EM = 0.36
NARROW = " .,:;'|![]()/ijlft"
# The size of a font over the height of its capitals.
FONT_OVER_CAPITAL = 1.38


class Side(StrEnum):
    """Where beside a view a dimension stands."""

    BELOW = "below"
    ABOVE = "above"
    LEFT = "left"
    RIGHT = "right"

    @property
    def is_level(self) -> bool:
        """Whether it measures along the drawing's horizontal."""
        return self in {Side.BELOW, Side.ABOVE}

    @property
    def sign(self) -> float:
        """Outward along the other axis."""
        return 1.0 if self in {Side.ABOVE, Side.RIGHT} else -1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A dimension between two points of a part.

    Parameters
    ----------
    side, row : where its line stands; row 1 is next to the part
    start, end : on the part [mm]
    text, under : what stands over the line and under it; nothing under it if empty
    """

    side: Side
    row: int
    start: Point
    end: Point
    text: str
    under: str = ""

    @property
    def axis(self) -> int:
        """0 if it measures along the horizontal, 1 along the vertical."""
        return 0 if self.side.is_level else 1

    def ends(self) -> tuple[float, float]:
        """Return where it begins and ends along its line, the lower first. [mm]."""
        ends = self.start[self.axis], self.end[self.axis]
        return min(ends), max(ends)

    def length(self, scale: float) -> float:
        """Return how long its line is. [mm of paper]."""
        low, high = self.ends()
        return scale * (high - low)

    @property
    def width(self) -> float:
        """Of its texts. [mm of paper]."""
        return max(text_width(text, TEXT_MM) for text in (self.text, self.under))

    def is_wide(self, scale: float) -> bool:
        """Return whether its text has room between its ends."""
        return self.length(scale) >= self.width + 2.0 * LIFT_MM

    def points_inward(self, scale: float) -> bool:
        """Return whether its arrows stand outside, for want of room between."""
        return self.length(scale) < LEAST_ARROWED * ARROW_MM

    def stands_out(self, scale: float) -> float:
        """Return how far its text or arrows reach past an end. [mm of paper]."""
        tail = ARROW_TAIL * ARROW_MM
        if not self.is_wide(scale):
            return max(tail, self.width + 2.0 * LIFT_MM)
        return tail if self.points_inward(scale) else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """An angle between two directions, counter-clockwise from the first.

    Parameters
    ----------
    vertex : on the part [mm]
    first_deg, second_deg : directions [degrees]
    reach : length of the shorter side [mm]
    text : what stands in it
    """

    vertex: Point
    first_deg: float
    second_deg: float
    reach: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A text to the right of a view, with a line to what it is about.

    Parameters
    ----------
    at : point of the part [mm]
    rise : from there to the text's line [mm of paper]
    text, under : what stands over the line and under it
    """

    at: Point
    rise: float
    text: str
    under: str = ""

    @property
    def width(self) -> float:
        """Of its texts. [mm of paper]."""
        return max(text_width(text, TEXT_MM) for text in (self.text, self.under))


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """A pin in a corner (filled), or the place of a hole (only its middle marked)."""

    centre: Point
    radius: float
    is_pin: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """Where a part goes on and the drawing does not."""

    start: Point
    end: Point


Mark = Span | Corner | Note | Round | Break


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnView:
    """One view, with all that is written on it.

    Parameters
    ----------
    title : words over it
    projections : edges of the parts that are seen together
    low, high : what is shown of them [mm]
    marks : dimensions, pins and notes
    """

    title: str
    projections: tuple[Projection, ...]
    low: Point
    high: Point
    marks: tuple[Mark, ...] = field(default=())

    def height(self, scale: float) -> float:
        """Height with dimensions and title. [mm of paper]."""
        part = scale * (self.high[1] - self.low[1])
        rooms = self.room(Side.BELOW, scale) + self.room(Side.ABOVE, scale)
        return part + rooms + 2.0 * TITLE_MM

    def reach(self, scale: float) -> float:
        """Width from its low corner to the right, with all that stands there."""
        part = scale * (self.high[0] - self.low[0])
        title = text_width(self.title, TITLE_MM) - self.room(Side.LEFT, scale)
        return max(part + self.room(Side.RIGHT, scale), title)

    def room(self, side: Side, scale: float) -> float:
        """Width of the strip that dimensions need beside the view. [mm of paper]."""
        needs = [LEAST_ROOM_MM]
        for mark in self.marks:
            if isinstance(mark, Span):
                needs.append(self._span_room(mark, side, scale))
            if isinstance(mark, Note) and side is Side.RIGHT:
                needs.append(NOTE_MM + mark.width + LIFT_MM)
        return max(needs)

    def _span_room(self, span: Span, side: Side, scale: float) -> float:
        if span.side is side:
            # Over a level line and left of an upright one stands its text.
            is_outward = span.under or side in {Side.ABOVE, Side.LEFT}
            beyond = TEXT_MM + 2.0 * LIFT_MM if is_outward else BEYOND_MM
            return self.row_offset(span.row) + beyond
        if span.side.is_level == side.is_level:
            return 0.0
        low, high = span.ends()
        past = self.low[span.axis] - low
        is_low = self.is_on_low_side(span)
        if side.sign > 0.0:
            past, is_low = high - self.high[span.axis], not is_low
        out = span.stands_out(scale) if is_low else ARROW_TAIL * ARROW_MM
        return scale * past + out

    def row_offset(self, row: int) -> float:
        """Return the distance of a dimension line from the part. [mm of paper]."""
        spans = [mark for mark in self.marks if isinstance(mark, Span)]
        pitch = TWO_LINES_MM if any(span.under for span in spans) else ROW_MM
        return FIRST_ROW_MM + (row - 1) * pitch

    def is_on_low_side(self, span: Span) -> bool:
        """Return whether a text without room goes to the lower end of its line.

        Away from the middle; over upright lines, under which others end.
        """
        middle = (self.low[0] + self.high[0]) / 2.0
        return span.side.is_level and sum(span.ends()) / 2.0 <= middle


def text_width(text: str, height: float) -> float:
    """How wide a text becomes, or a little more. [mm of paper]."""
    thin = sum(letter in NARROW for letter in text)
    ems = NARROW_EM * thin + LETTER_EM * (len(text) - thin)
    return ems * height * FONT_OVER_CAPITAL
