"""Chart of the largest stable depth against spindle speed, both stacks."""

from math import isfinite
from typing import TYPE_CHECKING, Any

import numpy as np

from fea.analysis.chatter_result import Chatter, Regime, SpeedLimits, StackChatter
from fea.report.chatter_axes import (
    FONT_SIZE,
    case_handles,
    dress_depth,
    dress_speed,
    head,
    mark_case,
    top_mm,
)
from fea.report.chatter_words import at_speeds
from fea.report.palette import INK, REGIME_STYLES, STACK_STYLES
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIZE_INCH = (8.0, 9.6)
HEIGHTS = (1.0, 1.0, 0.8)
BAND_ALPHA = 0.16
"""Of a band over the regimes' colours, which must stay visible."""
EDGE_WIDTH = 1.0
LEAST_LINE: dict[str, Any] = {"color": INK, "linewidth": 1.4, "linestyle": "-."}
MARK: dict[str, Any] = {"markersize": 7.0, "markeredgecolor": INK}
BEYOND_MARKER = "^"
OUTSIDE = 1.5
"""Height over that of the picture at which endless limits are drawn."""
BAND_FACE, REGIME_EDGE = "#e0e0e0", "#bbbbbb"
"""In the legend."""
ASIDE = 1.012
"""The stacks' points stand so far beside a speed, or one would hide the other."""
REGIME_WORDS = {
    Regime.CHATTER: "chatters",
    Regime.SPEED_DEPENDENT: "depends on the speed",
    Regime.SAFE: "safe at any speed",
}


def limits_figure(chatter: Chatter, asked_mm: float) -> "Figure":
    """One panel a stack with its regimes, and one that compares the lathe's speeds.

    Parameters
    ----------
    asked_mm : deepest cut of the case, or the width of its tool
    """
    from matplotlib.figure import Figure

    figure = Figure(figsize=SIZE_INCH, layout="constrained", facecolor="white")
    panels = figure.subplots(3, 1, sharex=True, sharey=True, height_ratios=HEIGHTS)
    stacks = (chatter.quick_change, chatter.four_way)
    top = top_mm(chatter, asked_mm)
    for axes, stack in zip(panels[:2], stacks, strict=True):
        _draw_regimes(axes, stack, top)
        _draw_limit(axes, stack, top)
        head(axes, stack)
    _compare(panels[2], stacks, top)
    for axes in panels:
        dress_depth(axes, chatter.quantity, top)
        dress_speed(axes, chatter, SIZE_INCH[0])
        mark_case(axes, chatter, asked_mm)
    panels[2].set_xlabel("spindle speed (rev/min)", fontsize=FONT_SIZE)
    _explain(figure, chatter, asked_mm)
    return figure


def _draw_regimes(axes: "Axes", stack: StackChatter, top: float) -> None:
    speed = stack.chart.speed_rpm
    limit = _clipped(stack.chart.limit_mm, top)
    least = np.minimum(_clipped(np.full(len(speed), stack.smallest_mm), top), limit)
    edges = (
        (Regime.SAFE, np.zeros(len(speed)), least),
        (Regime.SPEED_DEPENDENT, least, limit),
        (Regime.CHATTER, limit, np.full(len(speed), top)),
    )
    for regime, low, high in edges:
        colour, hatch = REGIME_STYLES[regime]
        axes.fill_between(
            speed,
            low,
            high,
            facecolor=colour,
            hatch=hatch,
            edgecolor="white",
            linewidth=0.0,
        )


def _draw_limit(axes: "Axes", stack: StackChatter, top: float) -> None:
    style = STACK_STYLES[stack.name]
    speed = stack.chart.speed_rpm
    low, high = (_clipped(end, top) for end in stack.chart.band_mm)
    axes.fill_between(
        speed, low, high, color=style.colour, alpha=BAND_ALPHA, linewidth=0.0
    )
    for end in (low, high):
        axes.plot(speed, end, color=style.colour, linewidth=EDGE_WIDTH)
    # What is beyond leaves the picture by its upper edge, or the curve had gaps.
    limit = np.minimum(stack.chart.limit_mm, OUTSIDE * top)
    axes.plot(speed, limit, **_curve_style(stack))
    if isfinite(stack.smallest_mm):
        axes.axhline(stack.smallest_mm, **LEAST_LINE)
    lathe = at_speeds(stack)
    _points(axes, stack, lathe, lathe.speed_rpm, top)


def _points(
    axes: "Axes",
    stack: StackChatter,
    limits: SpeedLimits,
    speed: FloatArray,
    top: float,
) -> None:
    """Limits at the lathe's speeds; triangles at the top are higher than drawn."""
    style = {"linestyle": "", "clip_on": False, "zorder": 4.0, **_mark_style(stack)}
    heights = np.minimum(limits.limit_mm, top)
    for chosen, marker in (
        (limits.limit_mm <= top, style["marker"]),
        (limits.limit_mm > top, BEYOND_MARKER),
    ):
        # Marks without a point would still ask the layout for room, in a corner.
        if chosen.any():
            spots = (speed[chosen], heights[chosen])
            axes.plot(*spots, **{**style, "marker": marker})


def _compare(axes: "Axes", stacks: tuple[StackChatter, ...], top: float) -> None:
    for stack, aside in zip(stacks, (1.0 / ASIDE, ASIDE), strict=True):
        limits = at_speeds(stack)
        speed = limits.speed_rpm * aside
        low, high = (_clipped(end, top) for end in limits.band_mm)
        axes.vlines(
            speed, low, high, color=STACK_STYLES[stack.name].colour, linewidth=3
        )
        _points(axes, stack, limits, speed, top)
    axes.set_title("Both at the lathe's own speeds", loc="left", fontsize=FONT_SIZE + 1)


def _explain(figure: "Figure", chatter: Chatter, asked_mm: float) -> None:
    """Name regimes, lines and marks above the panels."""
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    regimes = [
        Patch(facecolor=colour, hatch=hatch, edgecolor=REGIME_EDGE, label=words)
        for regime, words in REGIME_WORDS.items()
        for colour, hatch in [REGIME_STYLES[regime]]
    ]
    curves = [
        Line2D([], [], **_curve_style(stack), **_mark_style(stack))
        for stack in (chatter.quick_change, chatter.four_way)
    ]
    beyond = {**MARK, "marker": BEYOND_MARKER, "markerfacecolor": "white"}
    handles: list[Line2D | Patch] = [
        *regimes,
        *curves,
        Line2D([], [], label="limit over all speeds", **LEAST_LINE),
        *case_handles(chatter, asked_mm),
        Line2D([], [], **beyond, linestyle="", label="higher than drawn"),
        Patch(facecolor=BAND_FACE, edgecolor=INK, label="5 to 95 %"),
    ]
    figure.legend(
        handles=handles,
        loc="outside upper center",
        ncols=3,
        frameon=False,
        fontsize=FONT_SIZE,
        handlelength=3.0,
    )


def _curve_style(stack: StackChatter) -> dict[str, Any]:
    style = STACK_STYLES[stack.name]
    return {
        "color": style.colour,
        "linestyle": style.line,
        "linewidth": 2.0,
        "label": f"limit, {style.title}",
    }


def _mark_style(stack: StackChatter) -> dict[str, Any]:
    style = STACK_STYLES[stack.name]
    return {**MARK, "marker": style.marker, "markerfacecolor": style.colour}


def _clipped(values: FloatArray, top: float) -> FloatArray:
    """Values that a picture up to `top` can show; infinite ones are at its top."""
    return np.minimum(values, top)
