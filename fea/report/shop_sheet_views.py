"""Views of post body and holder on the shop sheet, with their dimensions."""

from collections.abc import Mapping

import numpy as np

from fea.report.shop_sheet_marks import (
    DrawnView,
    Mark,
    Note,
    Point,
    Round,
    Side,
    Span,
)
from fea.report.shop_sheet_parts import SheetParts
from fea.report.shop_sheet_sizes import Sizes
from geometry.projection import Projection, View

VIEWS = {
    "above": View(right=(1.0, 0.0, 0.0), up=(0.0, 1.0, 0.0)),
    "from headstock": View(right=(1.0, 0.0, 0.0), up=(0.0, 0.0, 1.0)),
    "from work": View(right=(0.0, -1.0, 0.0), up=(0.0, 0.0, 1.0)),
}

Seen = Mapping[str, Projection]

# How far the line to the bore's text rises. [mm of paper]
BORE_RISE_MM = 5.0

# Where on a bore its note begins: an eighth of a turn around.
EIGHTH = float(np.sqrt(0.5))


def span(sizes: Sizes, side: Side, row: int, start: Point, end: Point) -> Span:
    """Dimension between two points; its text is their distance along its line."""
    axis = 0 if side.is_level else 1
    text, under = sizes.drawn(abs(end[axis] - start[axis]))
    return Span(side=side, row=row, start=start, end=end, text=text, under=under)


def body_views(parts: SheetParts, seen: Seen, sizes: Sizes) -> tuple[DrawnView, ...]:
    """Post body from above and from the holder's side."""
    body, tail = parts.body, parts.dovetail
    half, top = body.side / 2.0, -body.side / 2.0 - tail.depth
    left = -body.dovetail_offset - tail.width / 2.0
    right = left + tail.width - (body.recess or 0.0)
    edge = EIGHTH * body.bore / 2.0
    bore, under = sizes.drawn(body.bore)
    bore = f"⌀{bore} {parts.bore.name}"
    above: tuple[Mark, ...] = (
        span(sizes, Side.ABOVE, 1, (-half, half), (half, half)),
        span(sizes, Side.LEFT, 1, (-half, -half), (-half, half)),
        span(sizes, Side.BELOW, 1, (left, top), (right, top)),
        span(sizes, Side.BELOW, 2, (-half, -half), (left, top)),
        Round(centre=(0.0, 0.0), radius=body.bore / 2.0, is_pin=False),
        Note(at=(edge, edge), rise=BORE_RISE_MM, text=bore, under=under),
    )
    front = (span(sizes, Side.RIGHT, 1, (half, 0.0), (half, body.height)),)
    return (
        DrawnView(
            title="Post body from above",
            projections=(seen["above"],),
            low=(-half, top),
            high=(half, half),
            marks=above,
        ),
        DrawnView(
            title="Body from the holder",
            projections=(seen["from headstock"],),
            low=(-half, 0.0),
            high=(half, body.height),
            marks=front,
        ),
    )


def holder_views(parts: SheetParts, seen: Seen, sizes: Sizes) -> tuple[DrawnView, ...]:
    """Holder from above and from the work."""
    holder = parts.holder
    long, deep, roof = holder.length, -holder.thickness, holder.floor
    roof += holder.slot_height
    wall = holder.slot_depth - holder.thickness
    end = (
        span(sizes, Side.LEFT, 1, (0.0, 0.0), (0.0, holder.height)),
        span(sizes, Side.RIGHT, 2, (-deep, 0.0), (-deep, holder.floor)),
        span(sizes, Side.RIGHT, 1, (-deep, holder.floor), (-deep, roof)),
        span(sizes, Side.BELOW, 1, (-wall, 0.0), (-deep, 0.0)),
        span(sizes, Side.BELOW, 2, (0.0, 0.0), (-deep, 0.0)),
    )
    return (
        DrawnView(
            title="Holder from above",
            projections=(seen["above"],),
            low=(0.0, deep),
            high=(long, 0.0),
            marks=_holder_marks(parts, sizes),
        ),
        DrawnView(
            title="Holder from the work",
            projections=(seen["from work"],),
            low=(0.0, 0.0),
            high=(-deep, holder.height),
            marks=end,
        ),
    )


def _holder_marks(parts: SheetParts, sizes: Sizes) -> tuple[Mark, ...]:
    """Dimensions of the holder from above, and where its screws stand."""
    holder, tail = parts.holder, parts.dovetail
    deep, middle = -holder.thickness, holder.length / 2.0 - holder.dovetail_offset
    mouth = middle - tail.half_width(0.0)
    count, (x, y) = len(parts.screws), parts.screws[0]
    text, under = sizes.drawn(parts.screw_diameter)
    text = f"{count}×⌀{text}"
    marks: list[Mark] = [
        span(sizes, Side.ABOVE, 1, (0.0, 0.0), (mouth, 0.0)),
        span(sizes, Side.BELOW, 2, (0.0, deep), (x, y)),
        span(sizes, Side.LEFT, 1, (0.0, deep), (x, y)),
        span(sizes, Side.BELOW, 3, (0.0, deep), (holder.length, deep)),
        Note(at=parts.screws[-1], rise=0.0, text=text, under=under),
    ]
    if count > 1:
        marks.append(_pitch(parts, sizes))
    radius = parts.screw_diameter / 2.0
    marks += [Round(centre=at, radius=radius, is_pin=False) for at in parts.screws]
    return tuple(marks)


def _pitch(parts: SheetParts, sizes: Sizes) -> Span:
    """Dimension from the first screw to the last, as so many equal steps."""
    first, *_, last = parts.screws
    steps = len(parts.screws) - 1
    text, under = sizes.drawn((last[0] - first[0]) / steps)
    text = text if steps == 1 else f"{steps}×{text}"
    return Span(side=Side.BELOW, row=1, start=first, end=last, text=text, under=under)
