"""The pen of the shop sheet: puts views and what is written on them on paper."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from fea.report.palette import INK
from fea.report.shop_sheet_marks import (
    ARROW_MM,
    ARROW_TAIL,
    BEYOND_MM,
    FONT_OVER_CAPITAL,
    LEAST_ROOM_MM,
    LIFT_MM,
    NOTE_MM,
    TEXT_MM,
    TITLE_MM,
    Break,
    Corner,
    DrawnView,
    Note,
    Point,
    Round,
    Side,
    Span,
    text_width,
)
from geometry.pad import FloatArray
from geometry.units import MM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.lines import Line2D

POINTS_PER_MM = 72.0 / MM_PER_INCH

# Widths of lines, as small drawings have them (about ISO 128, from memory). [mm]
EDGE_MM, HIDDEN_MM, THIN_MM = 0.5, 0.25, 0.18

# Dashes and gaps, in widths of the line.
DASHED = (0, (6.0, 4.0))
CENTRE_LINE = (0, (10.0, 3.0, 2.0, 3.0))

GAP_MM = 0.8  # between a corner and its extension line
ARROW_ASPECT = 3.0
ARC_MM = 7.0  # radius of an angle's arc
MARK_MM = 2.5  # half of a centre mark
WAVE_MM, WAVE_DEPTH_MM, WAVE_POINTS = 9.0, 0.5, 200
PIN_FILL = "#d9d9d9"

# What lies over what.
PIN_ORDER, EDGE_ORDER, MARK_ORDER = 2, 3, 4


def draw_view(axes: "Axes", view: DrawnView, corner: Point, scale: float) -> None:
    """Draw a view; `corner` is where its low corner stands [mm of paper]."""
    shift = np.array(corner) - scale * np.array(view.low)
    pen = _Pen(axes=axes, scale=scale, shift=shift)
    pen.edges(view)
    for mark in view.marks:
        if isinstance(mark, Span):
            pen.span(mark, view)
        elif isinstance(mark, Corner):
            pen.angle(mark)
        elif isinstance(mark, Note):
            pen.note(mark, view)
        elif isinstance(mark, Break):
            pen.broken(mark)
        else:
            pen.round(mark)
    left = corner[0] - view.room(Side.LEFT, scale) + LEAST_ROOM_MM
    top = corner[1] - view.room(Side.BELOW, scale) + view.height(scale) - TITLE_MM
    axes.text(left, top, view.title, va="center", **font(TITLE_MM))


def font(height: float) -> dict[str, Any]:
    """Look of letters whose capitals are so high. `height` [mm of paper]."""
    size = height * FONT_OVER_CAPITAL * POINTS_PER_MM
    return {"fontsize": size, "color": INK}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pen:
    """Draws one view where it stands on the paper."""

    axes: "Axes"
    scale: float
    shift: FloatArray

    def at(self, points: Sequence[Point] | FloatArray) -> FloatArray:
        """From the part to the paper. (n, 2) to (n, 2)."""
        return self.scale * np.asarray(points) + self.shift

    def line(
        self, points: FloatArray, width: float, style: object = "-", **more: Any
    ) -> "Line2D":
        look: dict[str, Any] = {"color": INK, "linewidth": width * POINTS_PER_MM}
        (line,) = self.axes.plot(*points.T, linestyle=style, **look, **more)
        return line

    def edges(self, view: DrawnView) -> None:
        from matplotlib.patches import Rectangle

        low, high = self.at([view.low, view.high])
        # A line on the border keeps its whole width.
        border = EDGE_MM
        window = Rectangle(
            (low[0] - border, low[1] - border),
            *(high - low + 2.0 * border),
            transform=self.axes.transData,
        )
        for projection in view.projections:
            for line in projection.hidden:
                self.line(self.at(line), HIDDEN_MM, DASHED).set_clip_path(window)
            for line in projection.seen:
                drawn = self.line(self.at(line), EDGE_MM, zorder=EDGE_ORDER)
                drawn.set_clip_path(window)

    def span(self, span: Span, view: DrawnView) -> None:
        """Draw dimension line, extension lines, arrows and text."""
        axis, sign = span.axis, span.side.sign
        edges = self.at([view.low, view.high])
        edge = edges[1 if sign > 0.0 else 0][1 - axis]
        level = edge + sign * view.row_offset(span.row)
        for point in self.at([span.start, span.end]):
            start = point[1 - axis] + sign * GAP_MM
            self._thin(axis, [point[axis]] * 2, [start, level + sign * BEYOND_MM])
        low, high = np.sort(self.at([span.start, span.end])[:, axis])
        inward = span.points_inward(self.scale)
        out = ARROW_TAIL * ARROW_MM if inward else 0.0
        self._thin(axis, [low - out, high + out], [level, level])
        for end, way in ((low, -1.0), (high, 1.0)):
            self._arrow(axis, end, level, -way if inward else way)
        middle = (low + high) / 2.0
        if not span.is_wide(self.scale):
            out, half = span.stands_out(self.scale), span.width / 2.0 + LIFT_MM
            is_low = view.is_on_low_side(span)
            middle = low - half if is_low else high + half
            line = [low - out, low] if is_low else [high, high + out]
            self._thin(axis, line, [level, level])
        self._texts((span.text, span.under), axis, middle, level)

    def _texts(
        self, texts: tuple[str, str], axis: int, middle: float, level: float
    ) -> None:
        """Write over and under a level line, or left and right of an upright one."""
        look = font(TEXT_MM) | {"ha": "center", "va": "baseline"}
        look |= {"rotation": 90.0 * axis, "rotation_mode": "anchor"}
        for text, lift in zip(texts, (LIFT_MM, -LIFT_MM - TEXT_MM), strict=True):
            x, y = (middle, level + lift) if axis == 0 else (level - lift, middle)
            self.axes.text(x, y, text, **look)

    def angle(self, corner: Corner) -> None:
        from matplotlib.patches import Arc

        (x, y) = self.at([corner.vertex])[0]
        radius = min(ARC_MM, self.scale * corner.reach)
        self.axes.add_patch(
            Arc(
                (x, y),
                2.0 * radius,
                2.0 * radius,
                theta1=corner.first_deg,
                theta2=corner.second_deg,
                color=INK,
                linewidth=THIN_MM * POINTS_PER_MM,
            )
        )
        middle = np.radians((corner.first_deg + corner.second_deg) / 2.0)
        reach = radius + text_width(corner.text, TEXT_MM) / 2.0 + LIFT_MM
        spot = (x + reach * np.cos(middle), y + reach * np.sin(middle))
        look = font(TEXT_MM) | {"ha": "center", "va": "center"}
        self.axes.text(*spot, corner.text, **look)

    def note(self, note: Note, view: DrawnView) -> None:
        """Draw a leader that rises and then runs out to the text beside the view."""
        start = self.at([note.at])[0]
        edge = self.at([view.high])[0, 0]
        level = start[1] + note.rise
        place = edge + NOTE_MM
        knee = np.array([start[0] + abs(note.rise), level])
        end = np.array([place + note.width, level])
        way = (end if note.rise == 0.0 else knee) - start
        self.line(np.array([start, knee, end]), THIN_MM)
        self._arrow_at(start, -way / np.linalg.norm(way))
        middle = place + note.width / 2.0
        self._texts((note.text, note.under), 0, middle, level)

    def broken(self, mark: Break) -> None:
        """Draw the wavy line along which a detail is broken off."""
        start, end = self.at([mark.start, mark.end])
        length = float(np.linalg.norm(end - start))
        along = (end - start) / length
        at = np.linspace(0.0, length, WAVE_POINTS)
        waves = max(1, round(length / WAVE_MM))
        beside = WAVE_DEPTH_MM * np.sin(2.0 * np.pi * waves * at / length)
        normal = np.array([-along[1], along[0]])
        self.line(start + np.outer(at, along) + np.outer(beside, normal), THIN_MM)

    def round(self, mark: Round) -> None:
        from matplotlib.patches import Circle

        centre = self.at([mark.centre])[0]
        radius = self.scale * mark.radius
        if mark.is_pin:
            look: dict[str, Any] = {"facecolor": PIN_FILL, "edgecolor": INK}
            look["linewidth"] = HIDDEN_MM * POINTS_PER_MM
            spot = (float(centre[0]), float(centre[1]))
            self.axes.add_patch(Circle(spot, radius, zorder=PIN_ORDER, **look))
        reach = max(MARK_MM, radius + 1.0)
        for axis in (0, 1):
            ends = np.array([centre, centre])
            ends[:, axis] += [-reach, reach]
            self.line(ends, THIN_MM, CENTRE_LINE, zorder=MARK_ORDER)

    def _thin(self, axis: int, along: list[float], across: list[float]) -> None:
        points = np.column_stack([along, across])
        self.line(points if axis == 0 else points[:, ::-1], THIN_MM)

    def _arrow(self, axis: int, end: float, level: float, way: float) -> None:
        tip = np.array([end, level] if axis == 0 else [level, end])
        heading = np.array([way, 0.0] if axis == 0 else [0.0, way])
        self._arrow_at(tip, heading)

    def _arrow_at(self, tip: FloatArray, heading: FloatArray) -> None:
        from matplotlib.patches import Polygon

        back = tip - ARROW_MM * heading
        beside = ARROW_MM / (2.0 * ARROW_ASPECT) * np.array([-heading[1], heading[0]])
        corners = np.array([tip, back + beside, back - beside])
        self.axes.add_patch(Polygon(corners, closed=True, color=INK, linewidth=0.0))
