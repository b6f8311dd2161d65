"""Details of the shop sheet: both dovetails with pins in them, and the moving flank."""

from math import radians, tan

from fea.report.shop_sheet_marks import (
    Break,
    Corner,
    DrawnView,
    Mark,
    Point,
    Round,
    Side,
    Span,
)
from fea.report.shop_sheet_parts import SheetParts
from fea.report.shop_sheet_sizes import Sizes
from fea.report.shop_sheet_views import span
from geometry.over_pins import Pin
from geometry.parts.moving_flank import MovingFlank
from geometry.projection import Projection

# How much is shown behind a dovetail's face or floor, and beside it, over its depth.
SHOWN_SHARE = 0.8


def pinned_views(
    parts: SheetParts,
    body: Projection,
    holder: Projection,
    flank: Projection | None,
    sizes: Sizes,
) -> tuple[DrawnView, ...]:
    """Both dovetails; each part as seen from above in its own frame."""
    by = (-parts.body.dovetail_offset, -parts.body.side / 2.0)
    whole = (body,) if flank is None else (body, _moved(flank, by))
    return _male(parts, whole, sizes), _female(parts, holder, sizes)


def _moved(projection: Projection, by: Point) -> Projection:
    return Projection(
        seen=tuple(line + by for line in projection.seen),
        hidden=tuple(line + by for line in projection.hidden),
    )


def _beside(pin: Pin | None, angle_deg: float) -> tuple[float, float]:
    """From a pin's axis to its corner, along the flat, and its radius. [mm]."""
    radius = 0.0 if pin is None else pin.diameter / 2.0
    return radius / tan(radians(angle_deg) / 2.0), radius


def _male(
    parts: SheetParts, projections: tuple[Projection, ...], sizes: Sizes
) -> DrawnView:
    tail, face = parts.dovetail, -parts.body.side / 2.0
    middle, angle = -parts.body.dovetail_offset, tail.angle_deg
    root, half, top = tail.half_width(0.0), tail.width / 2.0, face - tail.depth
    shown = SHOWN_SHARE * tail.depth
    marks: list[Mark] = [
        span(sizes, Side.ABOVE, 1, (middle - root, face), (middle + root, face)),
        span(sizes, Side.BELOW, 1, (middle - half, top), (middle + half, top)),
        span(sizes, Side.RIGHT, 1, (middle + half, top), (middle + root, face)),
        Corner(
            vertex=(middle - half, top),
            first_deg=0.0,
            second_deg=angle,
            reach=tail.flank_length,
            text=f"{angle:g}°",
        ),
    ]
    off, radius = _beside(parts.male_pin, angle)
    marks += _pins((middle, face), root, (off, radius), sizes)
    reach = max(half, root + off + radius) + shown / 2.0
    ends_at = -parts.body.side / 2.0, parts.body.side / 2.0
    left, right = max(middle - reach, ends_at[0]), min(middle + reach, ends_at[1])
    marks += _breaks((left, right), ends_at, (face, face + shown))
    return DrawnView(
        title=_with_pins("Male dovetail", parts.male_pin),
        projections=projections,
        low=(left, top),
        high=(right, face + shown),
        marks=tuple(marks),
    )


def _female(parts: SheetParts, projection: Projection, sizes: Sizes) -> DrawnView:
    holder, tail = parts.holder, parts.dovetail
    middle, angle = holder.length / 2.0 - holder.dovetail_offset, tail.angle_deg
    mouth, half = tail.half_width(0.0), tail.female_width / 2.0
    floor, shown = -tail.female_depth, SHOWN_SHARE * tail.depth
    marks: list[Mark] = [
        span(sizes, Side.ABOVE, 2, (middle - mouth, 0.0), (middle + mouth, 0.0)),
        span(sizes, Side.BELOW, 1, (middle - half, floor), (middle + half, floor)),
        span(sizes, Side.RIGHT, 1, (middle + half, floor), (middle + mouth, 0.0)),
    ]
    off, radius = _beside(parts.female_pin, angle)
    marks += _pins((middle, floor), half, (-off, -radius), sizes)
    ends_at = 0.0, holder.length
    left = max(middle - half - shown, ends_at[0])
    right = min(middle + half + shown, ends_at[1])
    marks += _breaks((left, right), ends_at, (0.0, floor - shown))
    return DrawnView(
        title=_with_pins("Female dovetail", parts.female_pin),
        projections=(projection,),
        low=(left, floor - shown),
        high=(right, 0.0),
        marks=tuple(marks),
    )


def _pins(
    middle: Point, half: float, pin: tuple[float, float], sizes: Sizes
) -> list[Mark]:
    """Return both pins, and what a micrometer is to show over or between them.

    Parameters
    ----------
    middle : of the flat that they lie on [mm]
    half : from there to its corners [mm]
    pin : from the corner to its axis along the flat, and its radius, as `_beside`;
        both negative for pins inside of the corners, 0 for none [mm]
    """
    off, radius = pin
    if radius == 0.0:
        return []
    x, y = middle[0], middle[1] - radius
    low, high = ((x + s * (half + off + radius), y) for s in (-1.0, 1.0))
    text, under = sizes.read(high[0] - low[0])
    side, row = (Side.BELOW, 2) if radius > 0.0 else (Side.ABOVE, 1)
    reading = Span(side=side, row=row, start=low, end=high, text=text, under=under)
    centres = ((x + s * (half + off), y) for s in (-1.0, 1.0))
    return [
        reading,
        *(Round(centre=at, radius=abs(radius), is_pin=True) for at in centres),
    ]


def _breaks(
    shown: tuple[float, float], whole: tuple[float, float], heights: Point
) -> list[Mark]:
    """Return wavy lines where a detail ends before the part does.

    Parameters
    ----------
    shown, whole : from and to across, of the detail and of the part [mm]
    heights : of the part's face and of the cut through it [mm]
    """
    left, right = shown
    breaks: list[Mark] = [Break(start=(left, heights[1]), end=(right, heights[1]))]
    for at, end in zip(shown, whole, strict=True):
        if at != end:
            breaks.append(Break(start=(at, heights[0]), end=(at, heights[1])))
    return breaks


def flank_view(flank: MovingFlank, projection: Projection, sizes: Sizes) -> DrawnView:
    """Return the moving flank from above."""
    tail = flank.dovetail
    back, top = tail.width / 2.0 - flank.recess, -tail.depth
    root, tip = tail.half_width(0.0), tail.width / 2.0
    marks: tuple[Mark, ...] = (
        span(sizes, Side.ABOVE, 1, (back, 0.0), (root, 0.0)),
        span(sizes, Side.BELOW, 1, (back, top), (tip, top)),
        span(sizes, Side.RIGHT, 1, (tip, top), (root, 0.0)),
    )
    return DrawnView(
        title=f"Moving flank, {sizes.length(flank.height)} high",
        projections=(projection,),
        low=(back, top),
        high=(tip, 0.0),
        marks=marks,
    )


def _with_pins(what: str, pin: Pin | None) -> str:
    return what if pin is None else f"{what}, {pin.name} pins"
