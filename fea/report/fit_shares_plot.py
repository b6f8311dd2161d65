"""Shares of groups and members before and after the fit, both stacks."""

from typing import TYPE_CHECKING

import numpy as np

from fea.analysis.member import Group, group_of
from fea.measurement.answer import Change, FitAnswer, StackCalibration
from fea.report.fit_bands import FONT_SIZE, draw_pair, name_bands
from fea.report.number import percent
from fea.report.palette import FAINT, INK, title_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH_INCH, ROW_INCH, EXTRA_INCH = 10.0, 0.36, 1.4
SMALL_SHARE = 0.02
"""Members that give less, before and after, are in the table only."""
HALF = 50.0
"""Share from which on a group gives more than all others. [%]"""
GAP = 0.4
"""Between a group and the next, in rows."""
Row = tuple[str, Change, bool]
"""Name, share, whether it is a group."""


def shares_change_figure(answer: FitAnswer) -> "Figure":
    """Draw two panels, one a stack: groups in bold with their members below."""
    from matplotlib.figure import Figure

    stacks = (answer.quick_change, answer.four_way)
    rows = [_rows(stack) for stack in stacks]
    count = max(len(each) for each in rows)
    figure = Figure(
        figsize=(WIDTH_INCH, ROW_INCH * count + EXTRA_INCH),
        layout="constrained",
        facecolor="white",
    )
    for axes, stack, own in zip(figure.subplots(1, 2), stacks, rows, strict=True):
        _draw(axes, own, count)
        axes.set_title(title_of(stack), fontsize=FONT_SIZE + 1, loc="left")
    name_bands(figure)
    return figure


def _rows(stack: StackCalibration) -> list[Row]:
    found: list[Row] = []
    for blame in stack.blame:
        found.append((str(blame.group), blame.share, True))
        members = _members(stack, blame.group)
        found += [(name, change, False) for name, change in members]
    return found


def _members(stack: StackCalibration, group: Group) -> list[tuple[str, Change]]:
    own = [
        (name, change)
        for name, change in stack.shares.items()
        if group_of(name) is group
        and max(change.before[1], change.after[1]) > SMALL_SHARE
    ]
    return sorted(own, key=lambda pair: -float(pair[1].after[1]))


def _draw(axes: "Axes", rows: list[Row], count: int) -> None:
    place, places = 0.0, []
    for number, (_, change, is_group) in enumerate(rows):
        place += 1.0 + (GAP if is_group and number else 0.0)
        places.append(place)
        before, after = 100.0 * change.before, 100.0 * change.after
        draw_pair(axes, place, before, after, 100.0)
        axes.annotate(
            percent(float(change.after[1])),
            (max(before[2], after[2]), place),
            xytext=(5.0, 0.0),
            textcoords="offset points",
            va="center",
            fontsize=FONT_SIZE - 2,
        )
    axes.set_yticks(places, [name for name, _, _ in rows])
    for label, (_, _, is_group) in zip(axes.get_yticklabels(), rows, strict=True):
        label.set_fontweight("bold" if is_group else "normal")
    axes.axvline(HALF, color=INK, linewidth=1.0, linestyle=":")
    axes.set_ylim(count + (len(Group) - 1) * GAP + 0.7, 0.3)
    axes.set_xlim(0.0, _reach(rows))
    axes.set_xlabel("share of the tip's motion (%)", fontsize=FONT_SIZE)
    axes.tick_params(labelsize=FONT_SIZE - 0.5)
    axes.tick_params(axis="y", length=0.0)
    axes.grid(axis="x", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _reach(rows: list[Row]) -> float:
    """Return the end of the axis: the longest band, its label, and half in sight."""
    longest = max(max(each.before[2], each.after[2]) for _, each, _ in rows)
    return float(np.clip(118.0 * longest, 1.1 * HALF, 112.0))
