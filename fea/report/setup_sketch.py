"""Sketch of a set-up: where to push, where the indicator stands, from two sides."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from fea.core.stack import Part
from fea.core.surface_point import skin_triangles
from fea.measurement.record import Heading, PushReading, Spot
from fea.report.palette import DIAL, INK, LOAD, part_colour
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIZE_INCH = (8.0, 4.6)
FONT_SIZE = 10.0
ARROW_MM = 28.0
VIEWS = (("seen from the headstock", 0, 2, 1, -1.0), ("seen from above", 0, 1, 2, 1.0))
"""Title, axis to the right, axis up, axis of sight and which of its ends is near."""
LABELS = {
    0: "x, away from the work (mm)",
    1: "y, to the tailstock (mm)",
    2: "z, up (mm)",
}


def sketch_figure(parts: Sequence[Part], push: PushReading) -> "Figure":
    """Draw the outlines of all parts, the force and the indicator."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=SIZE_INCH, layout="constrained", facecolor="white")
    panels = figure.subplots(1, 2)
    same = push.force_at == push.read_at
    for axes, (title, right, up, sight, near) in zip(panels, VIEWS, strict=True):
        for part in sorted(parts, key=lambda each: near * _nearest(each, sight, near)):
            _outline(axes, part, (right, up))
        view = (right, up)
        _mark(axes, push.read_at, push.read_along, view, "" if same else "read", DIAL)
        words = "push and read" if same else "push"
        _mark(axes, push.force_at, push.force_along, view, words, LOAD)
        axes.set_title(title, fontsize=FONT_SIZE)
        axes.set_xlabel(LABELS[right], fontsize=FONT_SIZE)
        axes.set_ylabel(LABELS[up], fontsize=FONT_SIZE)
        axes.set_aspect("equal")
        axes.margins(0.12)
    return figure


def _nearest(part: Part, sight: int, near: float) -> float:
    """Return how near to the eye a part comes, along the axis of sight. [mm]."""
    along = part.reduced.points[:, sight] + part.origin[sight]
    return float(near * (near * along).max())


def _outline(axes: "Axes", part: Part, view: tuple[int, int]) -> None:
    from scipy.spatial import ConvexHull

    skin = np.unique(skin_triangles(part.reduced.tetrahedra))
    flat = (part.reduced.points[skin] + part.origin)[:, list(view)]
    corners = flat[ConvexHull(flat).vertices]
    axes.fill(
        *corners.T,
        facecolor=part_colour(part.name),
        edgecolor=INK,
        linewidth=0.8,
        alpha=0.55,
    )


def _mark(
    axes: "Axes",
    spot: Spot,
    along: Heading,
    view: tuple[int, int],
    words: str,
    colour: str,
) -> None:
    """Draw an arrow onto a spot, or a dot in a ring where it points at the reader."""
    at = np.array([spot.x_mm, spot.y_mm, spot.z_mm])[list(view)]
    way = np.array([along.x, along.y, along.z])[list(view)]
    label = _label_place(at, way)
    if np.linalg.norm(way) < 0.5:
        axes.plot(*at, "o", mfc="white", mec=colour, ms=11.0, mew=2.0)
        axes.plot(*at, ".", color=colour)
    else:
        axes.annotate(
            "",
            (at[0], at[1]),
            (at[0] - ARROW_MM * way[0], at[1] - ARROW_MM * way[1]),
            arrowprops={"arrowstyle": "-|>", "color": colour, "lw": 2.2},
        )
    axes.annotate(
        words, (label[0], label[1]), color=colour, fontsize=FONT_SIZE, fontweight="bold"
    )


def _label_place(at: FloatArray, way: FloatArray) -> FloatArray:
    return np.asarray(at - 0.6 * ARROW_MM * way + np.array([4.0, 4.0]))
