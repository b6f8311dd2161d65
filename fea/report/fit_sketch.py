"""Sketch of a measurement's set-up: the stack with the push, the dial or the cut."""

from collections.abc import Sequence
from dataclasses import dataclass
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
ASIDE = 50.0
"""From a spot to where its words begin, or to what stands beside it, and least distance
to the rim [pixel]."""
LABEL_LIFT = 32.0
"""Words about the push stand this far from the arrow's end [pixel]."""
UPWARD = np.array([0.0, -1.0])
"""In pixels."""
DIAL_ROOM = 1.6
"""Stem and dial over the stem's length, for the room that they take."""
HALO = {"boxstyle": "round,pad=0.2", "fc": "white", "ec": "none", "alpha": 0.85}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How a spot is reached from outside of its part.

    Parameters
    ----------
    spot : (3,) [mm]
    away : (3,) along the push or the reading, out of the part
    with_it : whether that is the direction of the push or reading itself
    """

    spot: FloatArray
    away: FloatArray
    with_it: bool


def sketch_figure(case: Case, stack: Stack, gain: Gain) -> "Figure":
    """Draw how a measurement is set up on a stack."""
    surfaces = skins(stack)
    record = gain.seen.record
    corners = np.concatenate([skin.points for skin in surfaces])
    beside = _reached(case, surfaces, record)
    view = view_of(np.concatenate([corners, beside]), WIDTH)
    image = scene.parts_picture(surfaces, view)
    title = fill(setup_words(gain.seen), LETTERS_IN_LINE)
    figure, axes = canvas(image, f"{title[:1].upper()}{title[1:]}")
    if isinstance(record, PushReading):
        push, dial = _reaches(surfaces, record)
        is_shared = np.allclose(push.spot, dial.spot)
        _draw_push(axes, view, push, record.force_n, is_shared=is_shared)
        _draw_dial(axes, view, dial, is_shared=is_shared)
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


def _reaches(surfaces: Sequence[Surface], record: PushReading) -> tuple[Reach, Reach]:
    """How to come at the spots of a push and of its reading."""
    return (
        _reach(surfaces, record.force_at, record.force_along),
        _reach(surfaces, record.read_at, record.read_along),
    )


def _reach(surfaces: Sequence[Surface], spot: Spot, along: Heading) -> Reach:
    skin = next(each for each in surfaces if each.name == spot.part)
    middle = (skin.points.min(axis=0) + skin.points.max(axis=0)) / 2.0
    point = np.array([spot.x_mm, spot.y_mm, spot.z_mm])
    way = np.array([along.x, along.y, along.z])
    with_it = bool((point - middle) @ way > 0.0)
    return Reach(spot=point, away=way if with_it else -way, with_it=with_it)


def _reached(case: Case, surfaces: Sequence[Surface], record: object) -> FloatArray:
    """Points beside the stack that have to be in the picture. (n, 3) [mm]."""
    if isinstance(record, PushReading):
        push, dial = _reaches(surfaces, record)
        return np.array(
            [
                push.spot + PUSH_MM * push.away,
                dial.spot + DIAL_ROOM * STEM_MM * dial.away,
            ]
        )
    if isinstance(record, SpringPass | TestCut):
        return np.concatenate(_circles(case, record.depth_mm))
    return np.zeros((1, 3))


def _draw_push(
    axes: "Axes", view: View, push: Reach, force_n: float, *, is_shared: bool
) -> None:
    """Draw an arrow that pushes from outside, or pulls where it leads outward.

    `is_shared`: the indicator stands beside it.
    """
    spot = view.pixels(push.spot)
    far = view.pixels(push.spot + PUSH_MM * push.away)
    start, end = (spot, far) if push.with_it else (far, spot)
    style: dict[str, Any] = {
        "arrowstyle": "simple,head_width=1.3,head_length=1.1,tail_width=0.45",
        "fc": LOAD,
        "ec": INK,
        "shrinkA": 0.0,
        "shrinkB": 0.0,
    }
    axes.annotate("", tuple(end), tuple(start), arrowprops=style, zorder=6)
    word = "pull" if push.with_it else "push"
    lift = -_beside(far - spot) if is_shared else UPWARD
    _label(axes, far + LABEL_LIFT * lift, f"{word} {rounded(force_n)} N", LOAD)


def _draw_dial(axes: "Axes", view: View, dial: Reach, *, is_shared: bool) -> None:
    """Draw the stem's point on the spot, or beside a push there, and the dial."""
    from matplotlib.patches import Circle

    foot = view.pixels(dial.spot)
    way = view.pixels(dial.spot + STEM_MM * dial.away) - foot
    unit = way / np.linalg.norm(way)
    side = _beside(way) if is_shared else -UPWARD
    foot = foot + (ASIDE if is_shared else 0.0) * side
    middle = foot + way + FACE_PIXELS * unit
    axes.plot(*np.array([foot, middle]).T, color=INK, lw=4.0, zorder=6)
    axes.plot(*foot, "o", color=INK, ms=7, mfc="white", mew=2.0, zorder=7)
    face = Circle(
        (float(middle[0]), float(middle[1])),
        FACE_PIXELS,
        fc="white",
        ec=INK,
        lw=2.5,
        zorder=7,
    )
    axes.add_patch(face)
    for angle in np.linspace(0.0, 2.0 * np.pi, MARKS, endpoint=False):
        mark = middle + FACE_PIXELS * np.outer([0.78, 0.93], _clock(float(angle)))
        axes.plot(*mark.T, color=INK, lw=1.2, zorder=8)
    tip = middle + 0.7 * FACE_PIXELS * _clock(float(np.radians(NEEDLE_DEG)))
    axes.plot(*np.array([middle, tip]).T, color=LOAD, lw=2.2, zorder=8)
    lift = (3.0 if is_shared else 2.0) * LABEL_LIFT
    _label(axes, middle + lift * side, "indicator", INK)


def _beside(way: FloatArray) -> FloatArray:
    """Return the unit direction a quarter turn from a way, in pixels. (2,)."""
    return np.asarray(np.array([-way[1], way[0]]) / np.linalg.norm(way))


def _clock(angle: float) -> FloatArray:
    """Return the way of a clock's hand, in pixels. (2,)."""
    return np.array([np.sin(angle), -np.cos(angle)])


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
    text = f"bar of {setting(case.work.diameter)} mm:\ncut {depth} mm deep,\n{words}"
    low = np.concatenate(ends)[:, 1].max() + 2.0 * ASIDE
    _label(axes, np.array([0.0, low]), text, INK)


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
    is_left = place[0] < WIDTH / 2.0
    axes.text(
        float(np.clip(place[0] + (-ASIDE if is_left else ASIDE), ASIDE, WIDTH - ASIDE)),
        float(place[1]),
        text,
        ha="left" if is_left else "right",
        va="center",
        color=colour,
        fontsize=FONT_SIZE,
        fontweight="bold",
        bbox=HALO,
        zorder=9,
    )
