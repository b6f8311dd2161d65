"""Axes that chart and map of chatter share: speed along, depth up."""

from math import isfinite, log
from typing import TYPE_CHECKING, Any

from fea.analysis.chatter_result import Chatter, StackChatter
from fea.report.chatter_words import at_speeds, speed_words
from fea.report.number import setting
from fea.report.palette import FAINT, INK, title_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.lines import Line2D

FONT_SIZE = 11.0
ROOM_ABOVE = 1.35
"""Height of the axis over what must be seen."""
FULL_SCALE = 1.001
LABEL_INCH = 0.55
"""Room for a labelled speed."""
ASKED_LINE: dict[str, Any] = {"color": INK, "linewidth": 1.0, "linestyle": (0, (6, 3))}
CHOSEN_LINE: dict[str, Any] = {
    "color": INK,
    "linewidth": 1.6,
    "linestyle": (0, (1, 1.5)),
}


def top_mm(chatter: Chatter, asked_mm: float) -> float:
    """Depth at which the picture ends: limits beyond it tell nothing more.

    Parameters
    ----------
    asked_mm : deepest cut of the case, which must be in the picture
    """
    wanted = [asked_mm]
    for stack in (chatter.quick_change, chatter.four_way):
        wanted += [stack.smallest_mm, *stack.smallest_band_mm]
        wanted += [float(stack.chosen.limit_mm[0]), *stack.chosen.band_mm[:, 0]]
    seen = max(each for each in wanted if isfinite(each))
    deepest = max(chatter.quick_change.deepest_mm, chatter.four_way.deepest_mm)
    return max(min(ROOM_ABOVE * seen, deepest), FULL_SCALE * asked_mm)


def dress_depth(axes: "Axes", quantity: str, top: float) -> None:
    """Depth upward from nothing."""
    axes.set_ylim(0.0, top)
    axes.set_ylabel(f"{quantity} (mm)", fontsize=FONT_SIZE)
    axes.tick_params(labelsize=FONT_SIZE)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def dress_speed(axes: "Axes", chatter: Chatter, length_inch: float) -> None:
    """Ticks are the lathe's own speeds, as many labelled as there is room for.

    Parameters
    ----------
    length_inch : of the axis, roughly
    """
    from matplotlib.ticker import FixedFormatter, FixedLocator, NullFormatter

    speeds = at_speeds(chatter.quick_change).speed_rpm
    chart = chatter.quick_change.chart.speed_rpm
    low = float(min(chart[0], speeds[0]))
    high = float(max(chart[-1], speeds[-1]))
    axes.set_xscale("log")
    axes.set_xlim(low, high)
    labelled = spread(speeds.tolist(), LABEL_INCH / length_inch * log(high / low))
    axes.xaxis.set_major_locator(FixedLocator(labelled))
    axes.xaxis.set_major_formatter(FixedFormatter([speed_words(s) for s in labelled]))
    axes.xaxis.set_minor_locator(FixedLocator(speeds.tolist()))
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.grid(axis="x", which="both", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)


def spread(speeds: list[float], least: float) -> list[float]:
    """Those of rising speeds whose logarithms are at least so far apart."""
    kept = speeds[:1]
    for speed in speeds[1:]:
        if log(speed / kept[-1]) >= least:
            kept.append(speed)
    return kept


def mark_case(axes: "Axes", chatter: Chatter, asked_mm: float) -> None:
    """Lines at speed and largest depth of the case."""
    speed = float(chatter.quick_change.chosen.speed_rpm[0])
    axes.axvline(speed, **CHOSEN_LINE)
    axes.axhline(asked_mm, **ASKED_LINE)


def case_handles(chatter: Chatter, asked_mm: float) -> "list[Line2D]":
    """Legend entries of those lines."""
    from matplotlib.lines import Line2D

    speed = speed_words(float(chatter.quick_change.chosen.speed_rpm[0]))
    return [
        Line2D([], [], label=f"the case: {setting(asked_mm)} mm", **ASKED_LINE),
        Line2D([], [], label=f"the case: {speed} rev/min", **CHOSEN_LINE),
    ]


def head(axes: "Axes", stack: StackChatter) -> None:
    """Name the stack above its panel."""
    title = title_of(stack)
    axes.set_title(title[:1].upper() + title[1:], loc="left", fontsize=FONT_SIZE + 1)
