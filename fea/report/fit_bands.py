"""Pairs of bands, before over after, as rows of a picture."""

from typing import TYPE_CHECKING

import numpy as np

from fea.report.fit_colours import AFTER, BEFORE
from fea.report.palette import INK
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

HEIGHT = 0.36
"""Of a bar, in distances between rows."""
FONT_SIZE = 10.5


def draw_pair(
    axes: "Axes", row: float, before: FloatArray, after: FloatArray, end: float
) -> None:
    """Draw both bands (3,) as bars; what is infinite goes to `end` with an arrow."""
    for place, band, (colour, hatch) in (
        (row - HEIGHT / 2.0, before, BEFORE),
        (row + HEIGHT / 2.0, after, AFTER),
    ):
        low, middle, high = np.where(np.isfinite(band), band, end)
        axes.barh(
            place,
            high - low,
            HEIGHT,
            low,
            color=colour,
            hatch=hatch,
            edgecolor=INK,
            linewidth=0.5,
        )
        half = HEIGHT / 2.0
        axes.vlines(middle, place - half, place + half, color=INK, linewidth=2.2)
        if not np.isfinite(band[2]):
            axes.plot(end, place, ">", color=INK, markersize=6, clip_on=False)


def name_bands(figure: "Figure") -> None:
    """Name the colours above all panels."""
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    (grey, hatch), (blue, _) = BEFORE, AFTER
    figure.legend(
        handles=[
            Patch(fc=grey, ec=INK, hatch=hatch, label="before, 5 to 95 %"),
            Patch(fc=blue, ec=INK, label="after the fit, 5 to 95 %"),
            Line2D([], [], color=INK, marker="|", ls="", ms=11, mew=2, label="middle"),
        ],
        loc="outside upper center",
        ncols=3,
        frameon=False,
        fontsize=FONT_SIZE,
    )
