"""Predicted, calibrated and measured side by side, a panel for each kind of record."""

from collections.abc import Sequence
from math import isfinite
from typing import TYPE_CHECKING, Any

import numpy as np

from fea.measurement.answer import RecordAnswer
from fea.measurement.likelihood import PLAIN
from fea.measurement.observation import Kind
from fea.measurement.record import TestCut
from fea.report.fit_colours import AFTER, BEFORE, MEASURED
from fea.report.fit_reading import uncertainty_of
from fea.report.palette import FAINT, INK
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH_INCH = 10.0
WIDE_INCH, NARROW_INCH, RESIDUAL_SHARE = 4.2, 3.6, 0.45
MANY = 12
"""Panels with more readings take the whole width."""
FONT_SIZE = 10.5
BAR = 0.32
"""Width of a band, in distances between readings."""
OFF = 0.24
"""By which predicted and calibrated stand left and right of the reading."""
MARGIN = 0.08
"""Free height above and below, over that of the bands."""
NEVER_BELOW_0 = (Kind.FREQUENCY, Kind.DAMPING, Kind.GRADE)
TICKS = 20
"""At most so many numbers under a panel."""
EXPECTED = 2.0
"""Standard deviations within which most readings lie."""
LEAST_RESIDUAL = 3.5
"""The scale of residuals shows at least so many standard deviations."""
Y_LABELS = {
    Kind.PUSH: "reading (µm)",
    Kind.SPRING: "diameter too large (µm)",
    Kind.DEFLECTION: "radial motion (µm)",
    Kind.GRADE: "motion of the tip (µm)",
    Kind.CHATTER: "depth of cut (mm)",
    Kind.FREQUENCY: "frequency (Hz)",
    Kind.DAMPING: "damping ratio",
}
Numbered = list[tuple[int, RecordAnswer]]


def readings_figure(records: Sequence[RecordAnswer]) -> "Figure":
    """Draw one panel for every kind that was measured, residuals below each."""
    from matplotlib.figure import Figure

    panels = [
        [(n, each) for n, each in enumerate(records, 1) if each.seen.kind is kind]
        for kind in dict.fromkeys(each.seen.kind for each in records)
    ]
    rows = _rows(panels)
    heights = [WIDE_INCH if len(row) == 1 else NARROW_INCH for row in rows]
    figure = Figure(
        figsize=(WIDTH_INCH, sum(heights) + 0.5),
        layout="constrained",
        facecolor="white",
    )
    grid = figure.add_gridspec(len(rows), 2, height_ratios=heights)
    for place, row in enumerate(rows):
        for column, panel in enumerate(row):
            cell = grid[place, :] if len(row) == 1 else grid[place, column]
            both = cell.subgridspec(2, 1, height_ratios=(1.0, RESIDUAL_SHARE))
            values = figure.add_subplot(both[0])
            _draw_values(values, panel)
            _draw_residuals(figure.add_subplot(both[1], sharex=values), panel)
    _explain(figure)
    return figure


def _rows(panels: list[Numbered]) -> list[list[Numbered]]:
    """Wide panels alone, narrow ones in pairs, in their order."""
    wide = [[panel] for panel in panels if len(panel) > MANY]
    narrow = [panel for panel in panels if len(panel) <= MANY]
    return wide + [narrow[i : i + 2] for i in range(0, len(narrow), 2)]


def _draw_values(axes: "Axes", panel: Numbered) -> None:
    kind = panel[0][1].seen.kind
    for place, (_, record) in enumerate(panel):
        _draw_band(axes, place - OFF, record.predicted, BEFORE)
        _draw_band(axes, place + OFF, record.calibrated, AFTER)
        if record.measured is None:
            _draw_seen(axes, place, record)
        else:
            axes.errorbar(
                place,
                record.measured,
                yerr=uncertainty_of(record.seen),
                **MEASURED,
            )
    title = f"{kind}"
    axes.set_title(title[:1].upper() + title[1:], fontsize=FONT_SIZE + 1, loc="left")
    axes.set_ylabel(Y_LABELS[kind], fontsize=FONT_SIZE)
    _limit(axes, panel)
    _dress(axes)
    axes.tick_params(axis="x", labelbottom=False)


def _draw_band(
    axes: "Axes", place: float, band: FloatArray, style: tuple[str, str]
) -> None:
    """Draw 5 to 95 % as a bar, the middle as a line."""
    low, middle, high = _finite(band)
    colour, hatch = style
    axes.bar(
        place,
        high - low,
        BAR,
        low,
        color=colour,
        hatch=hatch,
        edgecolor=INK,
        linewidth=0.5,
    )
    half = BAR / 2.0
    axes.hlines(middle, place - half, place + half, color=INK, linewidth=1.6)


def _finite(band: FloatArray) -> FloatArray:
    """Cut off what is never reached, so that a bar can be drawn up to it."""
    known = band[np.isfinite(band)]
    top = float(known.max()) if len(known) else 0.0
    return np.where(np.isfinite(band), band, 2.0 * top)


def _draw_seen(axes: "Axes", place: float, record: RecordAnswer) -> None:
    """Show what was seen or heard: a range of motion, or a depth with its sound."""
    cut = record.seen.record
    if not isinstance(cut, TestCut):
        raise TypeError(cut)
    if record.seen.kind is Kind.CHATTER:
        marker = "x" if cut.chatter else "o"
        axes.plot(place, cut.depth_mm, marker, color=INK, ms=8, mfc="white", mew=2)
        return
    threshold = cut.threshold_um or 0.0
    low, high = {
        "none": (0.0, threshold),
        "slight": (threshold, PLAIN * threshold),
        "plain": (PLAIN * threshold, np.nan),
    }[cut.seen or "none"]
    axes.plot(
        [place, place], [low, high if isfinite(high) else low], "_-", color=INK, ms=12
    )
    if not isfinite(high):
        axes.plot(place, low, "^", color=INK, ms=8)


def _limit(axes: "Axes", panel: Numbered) -> None:
    """Leave room around the bands; only those of chatter may leave the panel."""
    kind = panel[0][1].seen.kind
    if kind is not Kind.CHATTER:
        axes.use_sticky_edges = False
        axes.margins(y=MARGIN)
        if kind in NEVER_BELOW_0:
            axes.set_ylim(bottom=0.0)
        return
    depths = [
        each.seen.record.depth_mm
        for _, each in panel
        if isinstance(each.seen.record, TestCut)
    ]
    axes.set_ylim(0.0, 3.0 * max(depths))


def _draw_residuals(axes: "Axes", panel: Numbered) -> None:
    """Residuals in standard deviations, or the chance of what was seen or heard."""
    places = np.arange(len(panel))
    if panel[0][1].residual is None:
        chances = [each.chance or 0.0 for _, each in panel]
        bars = axes.bar(places, chances, 0.5, color=AFTER[0], ec=INK, linewidth=0.5)
        axes.bar_label(bars, _short(panel), fontsize=FONT_SIZE - 2)
        axes.set_ylim(0.0, 1.35)
        axes.set_yticks([0.0, 0.5, 1.0])
        axes.set_ylabel("chance of it", fontsize=FONT_SIZE)
    else:
        off = np.array([each.residual or 0.0 for _, each in panel])
        axes.axhspan(-EXPECTED, EXPECTED, color=FAINT, alpha=0.5, linewidth=0.0)
        axes.axhline(0.0, color=INK, linewidth=0.8)
        axes.vlines(places, 0.0, off, color=INK, linewidth=1.0)
        axes.plot(places, off, "o", color=INK, ms=4)
        reach = max(LEAST_RESIDUAL, 1.1 * float(np.abs(off).max()))
        axes.set_ylim(-reach, reach)
        axes.set_ylabel("residual (σ)", fontsize=FONT_SIZE)
    step = -(-len(panel) // TICKS)
    axes.set_xticks(places[::step], [str(number) for number, _ in panel][::step])
    axes.set_xlim(-0.7, len(panel) - 0.3)
    axes.set_xlabel("number of the reading in the table", fontsize=FONT_SIZE)
    _dress(axes)


def _short(panel: Numbered) -> list[str]:
    """Say in a word what was seen or heard."""
    found = []
    for _, each in panel:
        cut = each.seen.record
        if not isinstance(cut, TestCut):
            raise TypeError(cut)
        sound = "chatter" if cut.chatter else "quiet"
        found.append(sound if each.seen.kind is Kind.CHATTER else str(cut.seen))
    return found


def _dress(axes: "Axes") -> None:
    axes.tick_params(labelsize=FONT_SIZE - 1)
    axes.grid(axis="y", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _explain(figure: "Figure") -> None:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    (grey, hatch), (colour, _) = BEFORE, AFTER
    marks: dict[str, Any] = {"color": INK, "linestyle": "none", "markersize": 7}
    figure.legend(
        handles=[
            Patch(fc=grey, ec=INK, hatch=hatch, label="predicted, 5 to 95 %"),
            Patch(fc=colour, ec=INK, label="calibrated, 5 to 95 %"),
            Line2D([], [], marker="D", label="measured ± standard deviation", **marks),
            Line2D([], [], marker="x", label="it chattered", **marks),
            Line2D([], [], marker="o", mfc="white", label="it was quiet", **marks),
            Patch(fc=FAINT, alpha=0.5, label="within 2 standard deviations"),
        ],
        loc="outside upper center",
        ncols=3,
        frameon=False,
        fontsize=FONT_SIZE,
    )
