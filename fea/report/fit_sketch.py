"""Sketch of a measurement's set-up: the stack with the push, the dial or the cut."""

from textwrap import fill
from typing import TYPE_CHECKING, Any

import numpy as np

from fea.case.schema import Case
from fea.core.stack import Stack
from fea.measurement.next_measurement import Gain
from fea.measurement.record import Heading, PushReading, Spot, SpringPass, TestCut
from fea.report import scene
from fea.report.fit_reading import setup_words
from fea.report.number import rounded, setting
from fea.report.palette import INK, LOAD
from fea.report.picture import FONT_SIZE, WIDTH, canvas, name_parts, triad
from fea.report.surface import Surface, skin_of
from fea.report.view import View, view_of
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PUSH_MM, STEM_MM = 45.0, 40.0
"""Lengths of the push's arrow and of the indicator's stem."""
FACE_PIXELS, NEEDLE_DEG = 34.0, 60.0
"""Radius of the dial's face, and where its needle points."""
MARKS = 12
"""On the dial's face."""
BAR_MM, TURNED_MM = 45.0, 14.0
"""Length of the bar that is drawn before and behind the cutting edge."""
AROUND = np.linspace(0.0, 2.0 * np.pi, 61)
BAR_COLOURS = ("#eeeeee", "#d8d8d8")
LETTERS_IN_LINE = 78
HALO = {"boxstyle": "round,pad=0.2", "fc": "white", "ec": "none", "alpha": 0.85}


def sketch_figure(case: Case, stack: Stack, gain: Gain) -> "Figure":
    """Draw how a measurement is set up on a stack."""
    surfaces = skins(stack)
    record = gain.seen.record
    corners = np.concatenate([skin.points for skin in surfaces])
    view = view_of(np.concatenate([corners, _reached(case, record)]), WIDTH)
    image = scene.parts_picture(surfaces, view)
    title = fill(setup_words(gain.seen), LETTERS_IN_LINE)
    figure, axes = canvas(image, f"{title[:1].upper()}{title[1:]}")
    if isinstance(record, PushReading):
        _draw_push(axes, view, record)
        _draw_dial(axes, view, record.read_at, record.read_along)
    elif isinstance(record, SpringPass | TestCut):
        _draw_bar(axes, view, case, record)
    triad(axes, image, view)
    name_parts(figure, surfaces)
    return figure


def skins(stack: Stack) -> tuple[Surface, ...]:
    """Skin of every part of a stack at rest."""
    return tuple(
        skin_of(part.name, part.reduced.points + part.origin, part.reduced.tetrahedra)
        for part in stack.parts
    )


def _point(spot: Spot) -> FloatArray:
    return np.array([spot.x_mm, spot.y_mm, spot.z_mm])


def _way(heading: Heading) -> FloatArray:
    return np.array([heading.x, heading.y, heading.z])


def _reached(case: Case, record: object) -> FloatArray:
    """Points beside the stack that have to be in the picture. (n, 3) [mm]."""
    if isinstance(record, PushReading):
        tail = _point(record.force_at) - PUSH_MM * _way(record.force_along)
        face = _point(record.read_at) + 1.5 * STEM_MM * _way(record.read_along)
        return np.array([tail, face])
    if isinstance(record, SpringPass | TestCut):
        return np.concatenate(_circles(case, record.depth_mm))
    return np.zeros((1, 3))


def _draw_push(axes: "Axes", view: View, record: PushReading) -> None:
    head = _point(record.force_at)
    tail = head - PUSH_MM * _way(record.force_along)
    style: dict[str, Any] = {
        "arrowstyle": "simple,head_width=1.3,head_length=1.1,tail_width=0.45",
        "fc": LOAD,
        "ec": INK,
        "shrinkA": 0.0,
        "shrinkB": 0.0,
    }
    axes.annotate("", view.pixels(head), view.pixels(tail), arrowprops=style, zorder=6)
    _label(axes, view.pixels(tail), f"push {rounded(record.force_n)} N", LOAD)


def _draw_dial(axes: "Axes", view: View, spot: Spot, along: Heading) -> None:
    """Draw the stem's point on the spot and the dial where the spot moves to."""
    from matplotlib.patches import Circle

    foot = view.pixels(_point(spot))
    middle = view.pixels(_point(spot) + STEM_MM * _way(along))
    middle += FACE_PIXELS * (middle - foot) / np.linalg.norm(middle - foot)
    axes.plot(*np.array([foot, middle]).T, color=INK, lw=4.0, zorder=6)
    axes.plot(*foot, "o", color=INK, ms=7, mfc="white", mew=2.0, zorder=7)
    face = Circle(tuple(middle), FACE_PIXELS, fc="white", ec=INK, lw=2.5, zorder=7)
    axes.add_patch(face)
    for angle in np.linspace(0.0, 2.0 * np.pi, MARKS, endpoint=False):
        way = FACE_PIXELS * np.array([np.sin(angle), -np.cos(angle)])
        ends = np.array([middle + 0.78 * way, middle + 0.93 * way])
        axes.plot(*ends.T, color=INK, lw=1.2, zorder=8)
    needle = np.radians(NEEDLE_DEG)
    tip = middle + 0.7 * FACE_PIXELS * np.array([np.sin(needle), -np.cos(needle)])
    axes.plot(*np.array([middle, tip]).T, color=LOAD, lw=2.2, zorder=8)
    below = middle + np.array([0.0, 1.9 * FACE_PIXELS])
    _label(axes, below, "indicator, base on the bed", INK)


def _draw_bar(
    axes: "Axes", view: View, case: Case, record: SpringPass | TestCut
) -> None:
    """Draw the bar, turned behind the cutting edge and raw before it."""
    from matplotlib.patches import Polygon
    from scipy.spatial import ConvexHull

    ends = [view.pixels(circle) for circle in _circles(case, record.depth_mm)]
    # What lies toward the headstock is nearer to the eye, so it is drawn last.
    for pair, colour in zip((ends[:2], ends[2:]), BAR_COLOURS, strict=True):
        both = np.concatenate(pair)
        outline = both[ConvexHull(both).vertices]
        axes.add_patch(Polygon(outline, fc=colour, ec=INK, lw=1.5, zorder=6))
        axes.plot(*pair[0].T, color=INK, lw=1.2, zorder=7)
    depth = setting(record.depth_mm)
    words = "listen for chatter" if isinstance(record, TestCut) else "then measure"
    text = f"bar of {setting(case.work.diameter)} mm, cut {depth} mm deep,\n{words}"
    low = np.concatenate(ends)
    _label(axes, np.array([low[:, 0].mean(), low[:, 1].max() + 40.0]), text, INK)


def _circles(case: Case, depth_mm: float) -> list[FloatArray]:
    """Return ends of the turned length and of the raw one. (61, 3) each [mm]."""
    raw = case.work.diameter / 2.0
    turned = raw - depth_mm
    return [
        np.column_stack(
            [
                radius * np.cos(AROUND) - turned,
                np.full(len(AROUND), along),
                radius * np.sin(AROUND),
            ]
        )
        for radius, along in (
            (turned, 0.0),
            (turned, TURNED_MM),
            (raw, -BAR_MM),
            (raw, 0.0),
        )
    ]


def _label(axes: "Axes", place: FloatArray, text: str, colour: str) -> None:
    axes.text(
        float(np.clip(place[0], 0.12 * WIDTH, 0.88 * WIDTH)),
        float(place[1]),
        text,
        ha="center",
        va="center",
        color=colour,
        fontsize=FONT_SIZE,
        fontweight="bold",
        bbox=HALO,
        zorder=9,
    )
