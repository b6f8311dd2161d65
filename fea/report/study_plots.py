"""Plots of a study: map over two variables, front of two aims, sensitivity bars."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from fea.case.study_measure import MEASURES, Measure
from fea.case.study_section import Study
from fea.report.palette import FAINT, INK, LOAD, STACK_STYLES
from fea.study.answer import Answer, beyond, value_of
from fea.study.axis import Axis
from fea.study.run import Finished
from fea.study.surrogate import Sensitivity
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIZE_INCH = (8.0, 5.6)
BAR_INCH = 0.62
"""Height of the bars of one variable."""
FONT_SIZE = 11.0
CONTOURS = 8
MAP_COLOURS = "YlGnBu"
BLUE = STACK_STYLES["quick-change"].colour
OUT_HATCH = "xxx"
ROOM = 0.06
"""Of the span of the values, left free around a plot's points."""


def _figure(size: tuple[float, float] = SIZE_INCH) -> "Figure":
    from matplotlib.figure import Figure

    return Figure(figsize=size, layout="constrained", facecolor="white")


def map_figure(
    study: Study,
    finished: Sequence[Finished],
    answer: Answer,
    axes_of: tuple[Axis, Axis],
    measure: str,
) -> "Figure":
    """Contours of a measure over two numbers; what is out of the limits is hatched.

    `finished` is a grid over both, in any order.
    """
    x_axis, y_axis = axes_of
    x, y, places = _grid(finished, axes_of)
    values, out = np.full((len(y), len(x)), np.nan), np.ones((len(y), len(x)))
    for each, place in zip(finished, places, strict=True):
        if each.outcome.reason is None:
            values[place] = value_of(each, measure)
        out[place] = beyond(study, each) is not None
    figure = _figure()
    plot = figure.subplots()
    _contours(figure, plot, (x, y, values), MEASURES[measure])
    _hatch(plot, x, y, out)
    _mark_designs(plot, finished, answer, axes_of)
    _label(plot, x_axis.title, y_axis.title)
    figure.legend(loc="outside lower center", ncols=2, frameon=False, fontsize=FONT_SIZE)
    return figure


def _grid(
    finished: Sequence[Finished], axes_of: tuple[Axis, Axis]
) -> tuple[FloatArray, FloatArray, list[tuple[int, int]]]:
    """Return both axes' numbers, rising, and each design's place (row, column)."""
    points = np.array([_point(each, axes_of) for each in finished])
    x, columns = np.unique(points[:, 0], return_inverse=True)
    y, rows = np.unique(points[:, 1], return_inverse=True)
    return x, y, list(zip(rows.tolist(), columns.tolist(), strict=True))


def _point(one: Finished, axes_of: tuple[Axis, Axis]) -> tuple[float, float]:
    x, y = (axis.number(one.design.values[axis.key]) for axis in axes_of)
    return x, y


def _contours(
    figure: "Figure",
    plot: "Axes",
    surface: tuple[FloatArray, FloatArray, FloatArray],
    measure: Measure,
) -> None:
    x, y, values = surface
    known = np.ma.masked_invalid(values)
    if known.count() == 0 or known.min() == known.max():
        return
    filled = plot.contourf(x, y, known, CONTOURS, cmap=MAP_COLOURS)
    lines = plot.contour(x, y, known, CONTOURS, colors=INK, linewidths=0.8)
    plot.clabel(lines, fontsize=FONT_SIZE - 2, inline=True)
    bar = figure.colorbar(filled, ax=plot)
    bar.set_label(f"{measure.noun} {measure.kind.unit}".rstrip(), fontsize=FONT_SIZE)
    bar.ax.tick_params(labelsize=FONT_SIZE - 1)


def _hatch(plot: "Axes", x: FloatArray, y: FloatArray, out: FloatArray) -> None:
    """Hatch around every design that is out, half way to its neighbours."""
    from matplotlib.patches import Patch, Rectangle

    if not out.any():
        return
    x_ends, y_ends = _between(x), _between(y)
    for row, column in np.argwhere(out > 0.0):
        low = (x_ends[column], y_ends[row])
        size = (x_ends[column + 1] - low[0], y_ends[row + 1] - low[1])
        plot.add_patch(
            Rectangle(
                low,
                *size,
                facecolor="white",
                alpha=0.55,
                edgecolor="none",
                linewidth=0.0,
            )
        )
        plot.add_patch(
            Rectangle(
                low, *size, fill=False, hatch=OUT_HATCH, edgecolor="#8a8a8a", linewidth=0
            )
        )
    patch = Patch(
        facecolor="white",
        edgecolor="#8a8a8a",
        hatch=OUT_HATCH,
        label="beyond a limit, or cannot be made",
    )
    plot.add_artist(patch)
    patch.set_visible(False)
    plot.fill([], [], facecolor="white", edgecolor="#8a8a8a", hatch=OUT_HATCH,
              label="beyond a limit, or cannot be made")


def _between(values: FloatArray) -> FloatArray:
    """Ends of the cells around rising values; the outer ones end at the values."""
    middle = (values[1:] + values[:-1]) / 2.0
    return np.concatenate([values[:1], middle, values[-1:]])


def _mark_designs(
    plot: "Axes",
    finished: Sequence[Finished],
    answer: Answer,
    axes_of: tuple[Axis, Axis],
) -> None:
    points = np.array([_point(each, axes_of) for each in finished])
    plot.plot(*points.T, ".", color=INK, markersize=3.0, clip_on=False)
    for one, label, marker in _named(answer):
        plot.plot(
            *_point(one, axes_of),
            marker=marker,
            linestyle="none",
            markersize=13.0,
            markerfacecolor=LOAD,
            markeredgecolor=INK,
            clip_on=False,
            zorder=5.0,
            label=label,
        )


def _named(answer: Answer) -> list[tuple[Finished, str, str]]:
    """Designs with a name, their labels and markers; each design once."""
    found = [
        (answer.recommended, "recommended", "*"),
        (answer.runner_up, "next best", "s"),
        (answer.knee, "bend of the trade", "D"),
    ]
    named = {}
    for one, label, marker in found:
        if one is not None:
            named.setdefault(one.design.number, (one, label, marker))
    return list(named.values())


def front_figure(study: Study, finished: Sequence[Finished], answer: Answer) -> "Figure":
    """Every computed design by both aims, and the front of those within the limits."""
    names = [aim.measure for aim in study.aims]
    figure = _figure()
    plot = figure.subplots()
    solved = [each for each in finished if each.outcome.reason is None]
    within = {each.design.number for each in answer.within}
    groups = {
        "beyond a limit": [e for e in solved if e.design.number not in within],
        "within the limits": list(answer.within),
    }
    for (label, group), (marker, colour) in zip(
        groups.items(), (("x", "#8a8a8a"), ("o", BLUE)), strict=True
    ):
        if group:
            points = np.array([[value_of(e, n) for n in names] for e in group])
            plot.plot(*points.T[::-1], marker, color=colour, markersize=5.5, label=label)
    front = np.array([[value_of(e, n) for n in names] for e in answer.front])
    plot.plot(*front.T[::-1], "-", color=INK, linewidth=1.4, label="front")
    for one, label, marker in _named(answer):
        plot.plot(
            value_of(one, names[1]),
            value_of(one, names[0]),
            marker=marker,
            linestyle="none",
            markersize=13.0,
            markerfacecolor=LOAD,
            markeredgecolor=INK,
            label=label,
        )
    plot.margins(ROOM)
    titles = [f"{MEASURES[n].noun} ({MEASURES[n].kind.unit})" for n in names]
    _label(plot, *(title.replace(" ()", "") for title in titles[::-1]))
    figure.legend(loc="outside lower center", ncols=3, frameon=False, fontsize=FONT_SIZE)
    return figure


def bars_figure(found: Sequence[Sensitivity], measure: str) -> "Figure":
    """Elasticities, where they have a meaning, beside shares of the variance."""
    height = 2.0 + BAR_INCH * len(found)
    figure = _figure((SIZE_INCH[0], height))
    left, right = figure.subplots(1, 2, sharey=True)
    places = np.arange(len(found))[::-1]
    slopes = [each.elasticity or 0.0 for each in found]
    left.barh(places, slopes, color=BLUE, edgecolor=INK, height=0.55)
    for place, each in zip(places, found, strict=True):
        if each.elasticity is None:
            left.annotate("see table", (0.0, place), (4, 0), va="center",
                          textcoords="offset points", fontsize=FONT_SIZE - 2)
    left.axvline(0.0, color=INK, linewidth=0.8)
    left.set_title("% for 1 % more", fontsize=FONT_SIZE, loc="left")
    wide = {"edgecolor": INK, "height": 0.27}
    right.barh(places + 0.14, [max(e.total, 0.0) for e in found], color=FAINT,
               label="with others", hatch="///", **wide)
    right.barh(places - 0.14, [max(e.first, 0.0) for e in found], color=BLUE,
               label="alone", **wide)
    right.set_title("share of the variance over the ranges", fontsize=FONT_SIZE, loc="left")
    left.set_yticks(places, [each.axis.key.replace(".", ".\n", 1) if len(each.axis.key) > 22 else each.axis.key for each in found])
    for plot in (left, right):
        plot.tick_params(labelsize=FONT_SIZE - 1)
        plot.grid(axis="x", color=FAINT, linewidth=0.6)
        plot.set_axisbelow(True)
        for side in ("top", "right"):
            plot.spines[side].set_visible(False)
    figure.suptitle(f"What moves: {MEASURES[measure].noun}", fontsize=FONT_SIZE + 1)
    figure.legend(loc="outside lower center", ncols=2, frameon=False, fontsize=FONT_SIZE)
    return figure


def _label(plot: "Axes", x: str, y: str) -> None:
    plot.set_xlabel(x, fontsize=FONT_SIZE)
    plot.set_ylabel(y, fontsize=FONT_SIZE)
    plot.tick_params(labelsize=FONT_SIZE - 1)
    plot.grid(color=FAINT, linewidth=0.5)
    plot.set_axisbelow(True)
