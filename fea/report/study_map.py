"""Map of a study over two numbers: contours of measures, what is out is hatched."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from fea.case.study_problem import levels
from fea.case.study_section import Study
from fea.report.number import rounded
from fea.report.palette import BEYOND, INK, STUDY_MAP
from fea.report.study_axes import (
    BEYOND_LABEL,
    FONT_SIZE,
    Mark,
    draw_marks,
    dress,
    explain,
    measure_title,
)
from fea.study.answer import beyond, value_of
from fea.study.axis import Axis
from fea.study.run import Finished
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PANEL_INCH = (4.6, 4.2)
ALONE_INCH = (7.2, 5.2)
LEGEND_INCH = 0.6
LEGEND_COLUMNS = 3
# Of a side: half of a contour's label.
LABEL_ROOM = 0.025
CONTOURS = 7
DARKEST = 1.6
"""Of the colours' range, that of the values being 1: black lines stay to be seen."""
TITLE: dict[str, Any] = {"loc": "left", "fontsize": FONT_SIZE}
VEIL = 0.6
"""Opacity of the white over what is out: colours remain to be seen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Designs over every pair of two variables' values.

    Parameters
    ----------
    axes : along and up
    x, y : (n_x,), (n_y,) values, rising
    designs : by row (y) and column (x)
    """

    axes: tuple[Axis, Axis]
    x: FloatArray
    y: FloatArray
    designs: dict[tuple[int, int], Finished]

    def values(self, measure: str) -> FloatArray:
        """Return a measure; not a number where it is not known. (n_y, n_x)."""
        values = np.full((len(self.y), len(self.x)), np.nan)
        for place, one in self.designs.items():
            values[place] = value_of(one, measure)
        return values


def grid_of(
    study: Study, finished: Sequence[Finished], axes: tuple[Axis, Axis]
) -> Grid:
    """Sort designs into a grid; those that lie between its lines are left out."""
    by_key = {variable.key: levels(variable) for variable in study.variables}
    x, y = (
        np.unique([axis.number(value) for value in by_key[axis.key]]) for axis in axes
    )
    places = {
        (row, column): (float(x[column]), float(y[row]))
        for row in range(len(y))
        for column in range(len(x))
    }
    by_point = {_point(axes, each.design.values): each for each in finished}
    designs = {at: by_point[spot] for at, spot in places.items() if spot in by_point}
    return Grid(axes=axes, x=x, y=y, designs=designs)


def map_figure(
    study: Study, grid: Grid, measures: Sequence[str], named: Sequence[Mark]
) -> "Figure":
    """One panel a measure, side by side."""
    from matplotlib.figure import Figure

    width, height = PANEL_INCH if len(measures) > 1 else ALONE_INCH
    size = (len(measures) * width, height + LEGEND_INCH)
    figure = Figure(figsize=size, layout="constrained", facecolor="white")
    panels = figure.subplots(1, len(measures), squeeze=False, sharey=True)[0]
    for panel, measure in zip(panels, measures, strict=True):
        _contours(figure, panel, grid, measure)
        _veil(study, panel, grid)
        draw_marks(panel, named, partial(_spot, grid))
        dress(panel, *(axis.title for axis in grid.axes))
        panel.label_outer()
    explain(figure, panels[0], LEGEND_COLUMNS)
    return figure


def _point(
    axes: tuple[Axis, Axis], values: Mapping[str, object]
) -> tuple[float, float]:
    x, y = (axis.number(values[axis.key]) for axis in axes)
    return x, y


def _contours(figure: "Figure", panel: "Axes", grid: Grid, measure: str) -> None:
    known = np.ma.masked_invalid(grid.values(measure))
    panel.set_xlim(grid.x[0], grid.x[-1])
    panel.set_ylim(grid.y[0], grid.y[-1])
    spots = np.array([(grid.x[column], grid.y[row]) for row, column in grid.designs])
    panel.plot(*spots.T, ".", color=INK, markersize=3.0, clip_on=False)
    title = measure_title(measure)
    low, high = float(known.min()), float(known.max())
    if low == high:
        panel.set_title(f"{title}: {rounded(low)} everywhere", **TITLE)
        return
    panel.set_title(title, **TITLE)
    span: dict[str, Any] = {"vmin": low, "vmax": low + DARKEST * (high - low)}
    surface = (grid.x, grid.y, known, CONTOURS)
    filled = panel.contourf(*surface, cmap=STUDY_MAP, **span)
    lines = panel.contour(*surface, colors=INK, linewidths=0.9)
    middles = [middle for segments in lines.allsegs for middle in _middles(segments)]
    shown = [middle for middle in middles if _has_room(grid, middle)]
    panel.clabel(lines, fontsize=FONT_SIZE - 1.5, manual=shown)
    bar = figure.colorbar(filled, ax=panel, pad=0.02)
    bar.ax.tick_params(labelsize=FONT_SIZE - 1)


def _middles(segments: Sequence[FloatArray]) -> Iterator[tuple[float, float]]:
    """Give the middle of the longest piece of one contour, if it has any."""
    longest = max(segments, key=len, default=np.empty((0, 2)))
    if len(longest) < 2:
        return
    steps = np.linalg.norm(np.diff(longest, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    x, y = (float(np.interp(along[-1] / 2.0, along, each)) for each in longest.T)
    yield x, y


def _has_room(grid: Grid, at: tuple[float, float]) -> bool:
    """Whether a label at a point is not cut off by the frame."""
    ends = np.array([grid.x[[0, -1]], grid.y[[0, -1]]])
    share = (np.array(at) - ends[:, 0]) / np.diff(ends)[:, 0]
    return bool(np.all((share > LABEL_ROOM) & (share < 1.0 - LABEL_ROOM)))


def _veil(study: Study, panel: "Axes", grid: Grid) -> None:
    """Hatch around every design that is out, half way to its neighbours."""
    from matplotlib.collections import PatchCollection
    from matplotlib.patches import Rectangle

    x, y = _between(grid.x), _between(grid.y)
    cells = [
        Rectangle((x[j], y[i]), x[j + 1] - x[j], y[i + 1] - y[i])
        for (i, j), one in grid.designs.items()
        if beyond(study, one) is not None
    ]
    if not cells:
        return
    colour, hatch = BEYOND
    style: dict[str, Any] = {
        "facecolor": ("white", VEIL),
        "edgecolor": colour,
        "hatch": hatch,
        "linewidth": 0.0,
    }
    panel.add_collection(PatchCollection(cells, **style), autolim=False)
    # A collection has no place in a legend.
    panel.fill([], [], label=BEYOND_LABEL, **style)


def _between(values: FloatArray) -> FloatArray:
    """Return the ends of cells around rising values; the outer ones end there."""
    middle = (values[1:] + values[:-1]) / 2.0
    return np.concatenate([values[:1], middle, values[-1:]])


def _spot(grid: Grid, mark: Mark) -> tuple[float, float] | None:
    """Return where a mark lies, None if outside of the map."""
    x, y = _point(grid.axes, mark.values)
    inside = grid.x[0] <= x <= grid.x[-1] and grid.y[0] <= y <= grid.y[-1]
    return (x, y) if inside else None
