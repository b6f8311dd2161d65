"""Bars of what each member gives, before and after a fit, with bands."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from fea.measurement.answer import Change, StackCalibration
from fea.report.fit_record_plot import CALIBRATED, EXPECTED
from fea.report.palette import FAINT, INK

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH_INCH, ROW_INCH, EXTRA_INCH = 8.0, 0.34, 0.9
FONT_SIZE = 11.0
BAR = 0.38
MOST = 14  # members drawn, the largest first
PERCENT = 100.0


def fit_shares_figure(stack: StackCalibration) -> "Figure":
    """Draw groups above, members below."""
    from matplotlib.figure import Figure

    groups = {str(each.group): each.share for each in stack.blame}
    members = dict(sorted(stack.shares.items(), key=_size)[:MOST])
    heights = [EXTRA_INCH + ROW_INCH * len(each) for each in (groups, members)]
    figure = Figure(
        figsize=(WIDTH_INCH, sum(heights) + EXTRA_INCH / 2.0),
        layout="constrained",
        facecolor="white",
    )
    top, bottom = figure.subplots(2, 1, height_ratios=heights)
    _draw(top, groups)
    _draw(bottom, members)
    label = f"share of the tip's motion at {stack.depth_mm[-1]:g} mm depth (%)"
    bottom.set_xlabel(label, fontsize=FONT_SIZE)
    top.axvline(PERCENT / 2.0, color=INK, linewidth=0.8, linestyle=":")
    handles, labels = top.get_legend_handles_labels()
    figure.legend(handles, labels, loc="outside upper center", ncols=2, frameon=False)
    return figure


def _size(item: tuple[str, Change]) -> float:
    """Return the order of a member: the larger it was or is, the earlier."""
    change = item[1]
    return -max(float(change.before[1]), float(change.after[1]))


def _draw(axes: "Axes", rows: Mapping[str, Change]) -> None:
    places = np.arange(len(rows))
    for name, colour, hatch, offset, bands in (
        ("expected", EXPECTED, "////", -BAR / 2.0, [c.before for c in rows.values()]),
        ("calibrated", CALIBRATED, "", BAR / 2.0, [c.after for c in rows.values()]),
    ):
        low, middle, high = PERCENT * np.array(bands).T
        axes.barh(
            places + offset,
            middle,
            height=BAR,
            color=colour,
            hatch=hatch,
            edgecolor=INK,
            linewidth=0.6,
            label=name,
        )
        axes.hlines(places + offset, low, high, color=INK, linewidth=1.4)
        ends = np.concatenate([low, high])
        axes.plot(ends, np.tile(places + offset, 2), "|", color=INK, markersize=6.0)
    axes.set_yticks(places, list(rows), fontsize=FONT_SIZE)
    axes.set_ylim(len(rows) - 0.4, -0.6)
    axes.set_xlim(left=0.0)
    axes.grid(axis="x", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
