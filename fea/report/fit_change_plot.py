"""Deflection curves and limit depths before and after the fit."""

from typing import TYPE_CHECKING

import numpy as np

from fea.analysis.result import AXES
from fea.measurement.answer import FitAnswer, StackCalibration
from fea.report.fit_bands import FONT_SIZE, draw_pair, name_bands
from fea.report.fit_colours import AFTER, BEFORE
from fea.report.number import setting
from fea.report.palette import FAINT, INK, title_of
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIZE_INCH = (10.0, 9.6)
HEIGHTS = (2.0, 0.8)
SHOWN = ("radial", "vertical")
PANELS = {
    "radial": "radial, away from the work",
    "vertical": "vertical (negative: down)",
}
ALPHA = 0.5
DEEPER = 2.5
"""Limits are shown up to that many times the deepest cut; deeper ones as arrows."""


def change_figure(answer: FitAnswer, speed_rpm: float) -> "Figure":
    """Draw motion of either stack against depth, and the limits of both below."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=SIZE_INCH, layout="constrained", facecolor="white")
    # Apart, so that the long names of the limits do not squeeze the curves.
    halves = figure.subfigures(2, 1, height_ratios=HEIGHTS, squeeze=False)
    top, bottom = halves[:, 0]
    stacks = (answer.quick_change, answer.four_way)
    for row, stack in zip(top.subplots(2, 2), stacks, strict=True):
        for axes, axis in zip(row, SHOWN, strict=True):
            _draw_motion(axes, stack, axis)
    _draw_limits(bottom.subplots(), answer, speed_rpm)
    name_bands(figure)
    return figure


def _draw_motion(axes: "Axes", stack: StackCalibration, axis: str) -> None:
    depth = np.concatenate([[0.0], stack.depth_mm])
    change = stack.deflection_um
    for bands, (colour, hatch), line in (
        (change.before, BEFORE, "--"),
        (change.after, AFTER, "-"),
    ):
        low, middle, high = _from_nothing(bands[:, :, AXES.index(axis)])
        axes.fill_between(
            depth,
            low,
            high,
            facecolor=colour,
            hatch=hatch,
            edgecolor=INK,
            alpha=ALPHA,
            linewidth=0.5,
        )
        axes.plot(depth, middle, line, color=INK, linewidth=2.0)
    title = f"{title_of(stack)}: {PANELS[axis]}"
    axes.set_title(title, fontsize=FONT_SIZE, loc="left")
    axes.set_ylabel("motion of the tip (µm)", fontsize=FONT_SIZE)
    axes.set_xlabel("depth of cut that is set (mm)", fontsize=FONT_SIZE)
    axes.axhline(0.0, color=INK, linewidth=0.8)
    axes.set_xlim(left=0.0)
    _dress(axes)


def _from_nothing(bands: FloatArray) -> FloatArray:
    """Add the state without a cut. (3, k) to (3, k + 1)."""
    return np.concatenate([np.zeros((3, 1)), bands], axis=1)


def _draw_limits(axes: "Axes", answer: FitAnswer, speed_rpm: float) -> None:
    stacks = (answer.quick_change, answer.four_way)
    deepest = max(float(stack.depth_mm[-1]) for stack in stacks)
    end = DEEPER * deepest
    rows = [
        (f"{title_of(stack)}, {words}", change)
        for stack in stacks
        for words, change in (
            (f"{setting(speed_rpm)} rev/min", stack.limit_mm),
            ("all speeds", stack.smallest_mm),
        )
    ]
    for place, (_, change) in enumerate(rows):
        clipped = [
            np.where(band > end, np.inf, band) for band in (change.before, change.after)
        ]
        draw_pair(axes, place, clipped[0], clipped[1], end)
    axes.axvline(deepest, color=INK, linewidth=1.0, linestyle=":")
    axes.set_yticks(range(len(rows)), [name for name, _ in rows])
    axes.set_ylim(len(rows) - 0.4, -0.6)
    axes.set_xlim(0.0, end)
    axes.set_xlabel(
        "depth at which it begins to chatter (mm); dotted: deepest cut of the case",
        fontsize=FONT_SIZE,
    )
    axes.set_title("Limit depths", fontsize=FONT_SIZE, loc="left")
    _dress(axes)


def _dress(axes: "Axes") -> None:
    axes.tick_params(labelsize=FONT_SIZE - 0.5)
    axes.grid(color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
