"""The drawing of the shop sheet: views to scale, on paper of a fixed size."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from io import BytesIO
from typing import TYPE_CHECKING

import numpy as np

from fea.report.shop_sheet_details import flank_view, pinned_views
from fea.report.shop_sheet_marks import LEAST_ROOM_MM, TEXT_MM, DrawnView, Point, Side
from fea.report.shop_sheet_parts import SheetParts
from fea.report.shop_sheet_pen import draw_view, font
from fea.report.shop_sheet_sizes import Sizes
from fea.report.shop_sheet_views import VIEWS, body_views, holder_views
from geometry.projection import projections
from geometry.units import MM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# A4 upright less its margins is 194 mm wide; the drawing takes half of its height.
PAPER_MM = (194.0, 140.0)
DETAILS_MM = 70.0
"""Width of the column of details on the right."""
FLANK_MM = 37.5
"""Height of the moving flank's place at its foot."""
FOOTER_MM = 5.0

# ISO 5455, from memory, with two steps between that shops use as well.
SCALES = {
    "5:1": 5.0,
    "2:1": 2.0,
    "1.5:1": 1.5,
    "1:1": 1.0,
    "1:1.5": 1.0 / 1.5,
    "1:2": 0.5,
    "1:2.5": 0.4,
    "1:5": 0.2,
    "1:10": 0.1,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """The same drawing twice.

    Parameters
    ----------
    svg : a whole document
    pdf : content of a file
    """

    svg: str
    pdf: bytes


def draw_sheet(parts: SheetParts, sizes: Sizes, footer: str) -> Drawing:
    """Draw body, holder and moving flank, with a line of words under them."""
    seen = {
        name: projections(name, shape, VIEWS)
        for name, shape in (
            ("post body", parts.body),
            ("holder", parts.holder),
            ("moving flank", parts.flank),
        )
        if shape is not None
    }
    flank = seen["moving flank"]["above"] if "moving flank" in seen else None
    body, holder = seen["post body"], seen["holder"]
    main = (body_views(parts, body, sizes), holder_views(parts, holder, sizes))
    pinned = pinned_views(parts, body["above"], holder["above"], flank, sizes)
    wide, high = PAPER_MM
    split, floor = wide - DETAILS_MM, FOOTER_MM + (0.0 if flank is None else FLANK_MM)
    areas = [
        _Area(columns=main, low=(0.0, FOOTER_MM), high=(split, high)),
        _Area(columns=(pinned,), low=(split, floor), high=(wide, high)),
    ]
    if parts.flank is not None and flank is not None:
        column = (flank_view(parts.flank, flank, sizes),)
        areas.append(
            _Area(columns=(column,), low=(split, FOOTER_MM), high=(wide, floor))
        )
    return _saved(_figure(areas, footer))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Area:
    """A part of the paper with columns of views at one scale.

    Views of a column stand under each other with their left edges in line.
    """

    columns: Sequence[Sequence[DrawnView]]
    low: Point
    high: Point

    def scale(self) -> str:
        """Name of the largest scale at which all fits, or at which least is missing."""
        fitting = (name for name in SCALES if self._missing(name) <= 0.0)
        return next(fitting, min(SCALES, key=self._missing))

    def _missing(self, name: str) -> float:
        """How much wider or higher the place would have to be. [mm of paper]."""
        scale = SCALES[name]
        wide = sum(sum(_widths(self._titled(c, name), scale)) for c in self.columns)
        high = max(sum(view.height(scale) for view in c) for c in self.columns)
        return float(max(np.subtract((wide, high), np.subtract(self.high, self.low))))

    def draw(self, axes: "Axes") -> None:
        """Draw all views, spread over the room that is left."""
        name = self.scale()
        scale = SCALES[name]
        columns = [self._titled(column, name) for column in self.columns]
        widths = [_widths(column, scale) for column in columns]
        free = self.high[0] - self.low[0] - sum(sum(pair) for pair in widths)
        left = self.low[0]
        for column, (before, after) in zip(columns, widths, strict=True):
            left += before
            self._draw_column(axes, column, left, scale)
            left += after + free / len(columns)

    def _draw_column(
        self, axes: "Axes", column: Sequence[DrawnView], left: float, scale: float
    ) -> None:
        used = sum(view.height(scale) for view in column)
        gap = (self.high[1] - self.low[1] - used) / len(column)
        top = self.high[1]
        for view in column:
            low = top - view.height(scale) + view.room(Side.BELOW, scale)
            draw_view(axes, view, (left, low), scale)
            top -= view.height(scale) + gap

    def _titled(self, column: Sequence[DrawnView], name: str) -> list[DrawnView]:
        return [replace(view, title=f"{view.title}, {name}") for view in column]


def _widths(column: Sequence[DrawnView], scale: float) -> tuple[float, float]:
    """Room that a column takes left of its edge, and right of it. [mm of paper]."""
    before = max(view.room(Side.LEFT, scale) for view in column)
    return before, max(view.reach(scale) for view in column)


def _figure(areas: Sequence[_Area], footer: str) -> "Figure":
    from matplotlib.figure import Figure

    wide, high = PAPER_MM
    figure = Figure(figsize=(wide / MM_PER_INCH, high / MM_PER_INCH))
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set(xlim=(0.0, wide), ylim=(0.0, high))
    axes.set_axis_off()
    for area in areas:
        area.draw(axes)
    axes.text(LEAST_ROOM_MM, FOOTER_MM / 2.0, footer, va="center", **font(TEXT_MM))
    return figure


def _saved(figure: "Figure") -> Drawing:
    import matplotlib as mpl

    svg, pdf = BytesIO(), BytesIO()
    # Text stays text, and the same drawing gives the same file.
    settings = {"svg.fonttype": "none", "svg.hashsalt": "sheet", "pdf.fonttype": 42}
    with mpl.rc_context(settings):  # type: ignore[arg-type]
        figure.savefig(svg, format="svg", metadata={"Date": None})
        figure.savefig(pdf, format="pdf", metadata={"CreationDate": None})
    return Drawing(svg=svg.getvalue().decode("utf-8"), pdf=pdf.getvalue())
