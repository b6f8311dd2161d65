"""Bars of what moves a measure: per cent for one per cent, shares of the variance."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from fea.report.number import rounded
from fea.report.palette import FAINT, INK, STACK_STYLES
from fea.report.study_axes import FONT_SIZE, WIDTH_INCH, explain
from fea.study.sensitivity import Sensitivity

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

BAR_INCH, BESIDE_INCH = 0.62, 1.7
"""Height of the bars of one variable, and of all that is above and below them."""
BAR, HALF_BAR = 0.56, 0.3
"""Height, of that of one variable."""
LONGEST_NAME = 22
ASIDE_POINTS = 5
BLUE = STACK_STYLES["quick-change"].colour
ROOM = 0.6
"""Of the longest bar, left free for numbers."""


def bars_figure(found: Sequence[Sensitivity], noun: str) -> "Figure":
    """Elasticities, where they have a meaning, beside shares of the variance."""
    from matplotlib.figure import Figure

    size = (WIDTH_INCH, BESIDE_INCH + BAR_INCH * len(found))
    figure = Figure(figsize=size, layout="constrained", facecolor="white")
    left, right = figure.subplots(1, 2, sharey=True)
    places = np.arange(len(found))[::-1]
    _elasticities(left, places, found)
    _variances(right, places, found)
    left.set_yticks(places, [_name(each.axis.key) for each in found])
    left.set_title("% gained for 1 % more of it", fontsize=FONT_SIZE, loc="left")
    right.set_title("share of the variance (%)", fontsize=FONT_SIZE, loc="left")
    for panel in (left, right):
        panel.tick_params(labelsize=FONT_SIZE)
        panel.grid(axis="x", color=FAINT, linewidth=0.6)
        panel.set_axisbelow(True)
        for side in ("top", "right"):
            panel.spines[side].set_visible(False)
    figure.suptitle(f"What moves: {noun}", fontsize=FONT_SIZE + 1)
    explain(figure, right, 2)
    return figure


def _elasticities(panel: "Axes", places: Any, found: Sequence[Sensitivity]) -> None:
    slopes = [each.elasticity or 0.0 for each in found]
    panel.barh(places, slopes, color=BLUE, edgecolor=INK, height=BAR)
    panel.axvline(0.0, color=INK, linewidth=0.9)
    longest = max(map(abs, slopes)) or 1.0
    low, high = min(*slopes, 0.0), max(*slopes, 0.0)
    room = ROOM * longest
    panel.set_xlim(low - room if low < 0.0 else low, high + room)
    for place, each, slope in zip(places, found, slopes, strict=True):
        aside = ASIDE_POINTS if slope >= 0.0 else -ASIDE_POINTS
        panel.annotate(
            _said(each),
            (slope, place),
            (aside, 0),
            textcoords="offset points",
            va="center",
            ha="left" if slope >= 0.0 else "right",
            fontsize=FONT_SIZE - 1,
        )


def _said(each: Sensitivity) -> str:
    """Write what the bar shows, or why there is none."""
    if each.elasticity is not None:
        return rounded(each.elasticity)
    if each.slope_percent is None:
        return "a choice"
    return f"{rounded(each.slope_percent)} % for 1 {each.axis.unit}".rstrip()


def _variances(panel: "Axes", places: Any, found: Sequence[Sensitivity]) -> None:
    for shift, label, colour, hatch, shares in (
        (0.5, "with others", FAINT, "///", [each.total for each in found]),
        (-0.5, "alone", BLUE, "", [each.first for each in found]),
    ):
        panel.barh(
            places + shift * HALF_BAR,
            # Found by sampling, so that nothing may come out a little below nothing.
            100.0 * np.clip(shares, 0.0, 1.0),
            height=HALF_BAR,
            color=colour,
            edgecolor=INK,
            hatch=hatch,
            label=label,
        )
    panel.set_xlim(0.0, 100.0)


def _name(key: str) -> str:
    """Break a long key before its last name."""
    head, _, tail = key.rpartition(".")
    return f"{head}.\n{tail}" if head and len(key) > LONGEST_NAME else key
