"""Plot of every number that was measured, beside what is predicted of it."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fea.measurement.answer import RecordAnswer
from fea.measurement.observation import UNITS, Kind
from fea.report.palette import FAINT, INK

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH_INCH, ROW_INCH, EXTRA_INCH = 8.0, 0.2, 0.95
FONT_SIZE = 10.0
EXPECTED, CALIBRATED, MEASURED = "#e69f00", "#0072b2", INK
OFFSET = 0.22
THICK = 3.4


def records_figure(records: Sequence[RecordAnswer]) -> "Figure":
    """One panel a kind of observation, one row a reading; numbers only."""
    from matplotlib.figure import Figure

    numbers = [each for each in records if each.measured is not None]
    kinds = [kind for kind in Kind if any(each.seen.kind is kind for each in numbers)]
    groups = [[each for each in numbers if each.seen.kind is kind] for kind in kinds]
    heights = [EXTRA_INCH + ROW_INCH * len(group) for group in groups]
    figure = Figure(
        figsize=(WIDTH_INCH, sum(heights) + EXTRA_INCH),
        layout="constrained",
        facecolor="white",
    )
    panels = figure.subplots(len(kinds), 1, height_ratios=heights, squeeze=False)
    for axes, kind, group in zip(panels[:, 0], kinds, groups, strict=True):
        _draw(axes, kind, group)
    handles, labels = panels[0, 0].get_legend_handles_labels()
    figure.legend(
        handles,
        labels,
        loc="outside upper center",
        ncols=3,
        frameon=False,
        fontsize=FONT_SIZE,
    )
    return figure


def _draw(axes: "Axes", kind: Kind, group: Sequence[RecordAnswer]) -> None:
    rows = list(range(len(group)))
    for name, colour, offset, bands in (
        ("expected, 5 to 95 %", EXPECTED, -OFFSET, [each.predicted for each in group]),
        ("calibrated, 5 to 95 %", CALIBRATED, OFFSET, [e.calibrated for e in group]),
    ):
        places = [row + offset for row in rows]
        lows, middles, highs = zip(*bands, strict=True)
        axes.hlines(places, lows, highs, color=colour, linewidth=THICK, label=name)
        axes.plot(middles, places, "|", color=colour, markersize=7.0)
    values = [each.measured for each in group if each.measured is not None]
    axes.plot(
        values,
        rows,
        "D",
        color=MEASURED,
        markersize=3.6,
        linestyle="",
        label="measured",
    )
    unit = UNITS[kind]
    axes.set_xlabel(f"{kind}{f' ({unit})' if unit else ''}", fontsize=FONT_SIZE)
    labels = [f"{each.seen.source.file}:{each.seen.source.line}" for each in group]
    axes.set_yticks(rows, labels, fontsize=FONT_SIZE - 2.5)
    axes.set_ylim(len(group) - 0.4, -0.6)
    axes.grid(axis="x", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
