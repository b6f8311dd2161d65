"""Map of how likely a depth chatters at a speed, both stacks side by side."""

from typing import TYPE_CHECKING, Any

import numpy as np

from fea.analysis.chatter_result import Chatter, StackChatter
from fea.report.chatter_axes import (
    FONT_SIZE,
    case_handles,
    dress_depth,
    dress_speed,
    head,
    mark_case,
    top_mm,
)
from fea.report.chatter_words import from_nothing
from fea.report.palette import CHANCE_MAP, INK

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIZE_INCH = (9.0, 4.9)
PANEL_INCH = 3.4
STEPS = (0.0, 0.05, 0.25, 0.5, 0.75, 0.95, 1.0)
"""Chances between which the colour changes."""
DARKEST = 1.6
"""Chance at the dark end of the colours: no black line is lost in what is drawn."""
LINES: dict[float, Any] = {
    0.05: (0, (7, 2, 1.5, 2, 1.5, 2)),
    0.5: "-",
    0.95: (0, (7, 2, 1.5, 2)),
}
"""Style of the line at each chance: none is that of a line of the case."""
LINE_WIDTH = 1.8
LEGEND_ROWS = 2


def map_figure(chatter: Chatter, asked_mm: float) -> "Figure":
    """Chance of chatter over speed and depth.

    Parameters
    ----------
    asked_mm : deepest cut of the case, or the width of its tool
    """
    from matplotlib.figure import Figure

    figure = Figure(figsize=SIZE_INCH, layout="constrained", facecolor="white")
    panels = figure.subplots(1, 2, sharey=True)
    stacks = (chatter.quick_change, chatter.four_way)
    top = top_mm(chatter, asked_mm)
    for axes, stack in zip(panels, stacks, strict=True):
        _draw(axes, stack)
        dress_depth(axes, chatter.quantity, top)
        dress_speed(axes, chatter, PANEL_INCH)
        mark_case(axes, chatter, asked_mm)
        axes.set_xlabel("spindle speed (rev/min)", fontsize=FONT_SIZE)
        head(axes, stack)
    panels[1].set_ylabel("")
    _colour_bar(figure, panels)
    _explain(figure, chatter, asked_mm)
    return figure


def _draw(axes: "Axes", stack: StackChatter) -> None:
    depths, chance = from_nothing(stack.map)
    axes.contourf(
        stack.map.speed_rpm,
        depths,
        chance,
        levels=STEPS,
        cmap=CHANCE_MAP,
        vmin=0.0,
        vmax=DARKEST,
    )
    for level, line in LINES.items():
        if chance.min() < level < chance.max():
            axes.contour(
                stack.map.speed_rpm,
                depths,
                chance,
                levels=[level],
                colors=INK,
                linestyles=[line],
                linewidths=LINE_WIDTH,
            )


def _seen(stack: StackChatter, level: float, top: float) -> bool:
    """Whether the line at a chance is in a picture up to a depth."""
    depths, chances = from_nothing(stack.map)
    shown = chances[depths <= top]
    return bool(shown.min() < level < shown.max())


def _colour_bar(figure: "Figure", panels: Any) -> None:
    from matplotlib.cm import ScalarMappable
    from matplotlib.colors import BoundaryNorm, ListedColormap, Normalize

    middles = (np.array(STEPS[1:]) + np.array(STEPS[:-1])) / 2.0
    colours = ScalarMappable(norm=Normalize(0.0, DARKEST), cmap=CHANCE_MAP)
    steps = ListedColormap(colours.to_rgba(middles))
    bar = figure.colorbar(
        ScalarMappable(norm=BoundaryNorm(STEPS, steps.N), cmap=steps),
        ax=panels,
        spacing="uniform",
        ticks=STEPS,
        pad=0.02,
    )
    bar.ax.set_yticklabels([f"{100.0 * step:.0f} %" for step in STEPS])
    bar.set_label("chance of chatter", fontsize=FONT_SIZE)
    bar.ax.tick_params(labelsize=FONT_SIZE)


def _explain(figure: "Figure", chatter: Chatter, asked_mm: float) -> None:
    from matplotlib.lines import Line2D

    top = top_mm(chatter, asked_mm)
    handles = [
        Line2D(
            [],
            [],
            color=INK,
            linestyle=line,
            linewidth=LINE_WIDTH,
            label=f"{100.0 * level:.0f} % chance",
        )
        for level, line in LINES.items()
        if any(_seen(s, level, top) for s in (chatter.quick_change, chatter.four_way))
    ]
    handles += case_handles(chatter, asked_mm)
    figure.legend(
        handles=handles,
        loc="outside upper center",
        ncols=-(-len(handles) // LEGEND_ROWS),
        frameon=False,
        fontsize=FONT_SIZE,
        handlelength=3.0,
    )
