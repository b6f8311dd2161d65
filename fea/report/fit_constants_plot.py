"""Constants before and after the fit: how many times softer, stiffer or harder."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from fea.measurement.answer import FitAnswer
from fea.measurement.constant_answer import ConstantAnswer
from fea.measurement.identifiability import MemberKnowledge
from fea.report.fit_bands import FONT_SIZE, draw_pair, name_bands
from fea.report.fit_tables import telling
from fea.report.number import rounded
from fea.report.palette import FAINT, INK
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH_INCH, ROW_INCH, EXTRA_INCH = 10.0, 0.36, 2.2
ROOM = 1.15
"""Axis over the longest band, in ratio."""
STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
Row = tuple[str, FloatArray, FloatArray]


def constants_figure(
    answer: FitAnswer, constants: Sequence[ConstantAnswer]
) -> "Figure":
    """Draw how much members give on top, the constants that were told of below."""
    from matplotlib.figure import Figure

    members = [_member(each) for each in answer.known.members]
    told = [
        (f"{each.member}: {each.what}", each.before, each.after)
        for each in telling(constants)
    ]
    heights = [max(len(rows), 1) + 1.5 for rows in (members, told)]
    figure = Figure(
        figsize=(WIDTH_INCH, ROW_INCH * sum(heights) + EXTRA_INCH),
        layout="constrained",
        facecolor="white",
    )
    top, bottom = figure.subplots(2, 1, height_ratios=heights)
    _draw(top, members, "How much members give, over what was expected")
    top.set_xlabel("times stiffer ←    → times softer", fontsize=FONT_SIZE)
    _draw(bottom, told, "Constants, over what was expected")
    bottom.set_xlabel("times smaller ←    → times larger", fontsize=FONT_SIZE)
    name_bands(figure)
    return figure


def _member(known: MemberKnowledge) -> Row:
    middle = known.before_um[1]
    return known.name, known.before_um / middle, known.after_um / middle


def _draw(axes: "Axes", rows: Sequence[Row], title: str) -> None:
    axes.set_title(title, fontsize=FONT_SIZE + 1, loc="left")
    axes.set_xscale("log")
    reach = ROOM * max((_reach(row) for row in rows), default=2.0)
    for place, (_, before, after) in enumerate(rows):
        draw_pair(axes, place, before, after, reach)
        axes.annotate(
            f"× {rounded(float(after[1]))}",
            (1.01, place),
            xycoords=("axes fraction", "data"),
            va="center",
            fontsize=FONT_SIZE - 1.5,
        )
    axes.set_yticks(range(len(rows)), [name for name, _, _ in rows])
    axes.set_ylim(max(len(rows), 1) - 0.4, -0.6)
    axes.set_xlim(1.0 / reach, reach)
    ticks = [step for step in STEPS if 1.0 / reach <= step <= reach]
    axes.set_xticks(ticks, [f"{step:g}" for step in ticks])
    axes.set_xticks([], minor=True)
    axes.axvline(1.0, color=INK, linewidth=1.0, linestyle=":")
    axes.tick_params(labelsize=FONT_SIZE - 0.5)
    axes.tick_params(axis="y", length=0.0)
    axes.grid(axis="x", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _reach(row: Row) -> float:
    """Return how far from 1 either band goes, in ratio."""
    _, before, after = row
    ends = np.log([before[0], before[2], after[0], after[2]])
    return float(np.exp(np.abs(ends).max()))
