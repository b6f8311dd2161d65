"""Plots of deflection and diameter error against depth of cut, both stacks."""

from typing import TYPE_CHECKING

import numpy as np

from fea.analysis.result import AXES, Comparison, StackResult
from fea.report.palette import FAINT, INK, STACK_STYLES
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIZE_INCH = (8.0, 7.0)
FONT_SIZE = 11.0
BAND_ALPHA = 0.18
DIAMETER = "diameter error"
PANELS = {
    "radial": "Radial, away from the work",
    "axial": "Axial, toward the tailstock",
    "vertical": "Vertical (negative: down)",
    DIAMETER: "Diameter error, work too large",
}
DEPTH_LABEL = "depth of cut that is set (mm)"


def curves_figure(comparison: Comparison) -> "Figure":
    """Four panels: radial, axial, vertical deflection and diameter error."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=SIZE_INCH, layout="constrained", facecolor="white")
    panels = figure.subplots(2, 2, sharex=True).ravel()
    for axes, quantity in zip(panels, PANELS, strict=True):
        for stack in (comparison.quick_change, comparison.four_way):
            _draw(axes, stack, quantity)
        _dress(axes, PANELS[quantity])
    for axes in panels[-2:]:
        axes.set_xlabel(DEPTH_LABEL, fontsize=FONT_SIZE)
    handles, labels = panels[0].get_legend_handles_labels()
    figure.legend(
        handles,
        labels,
        loc="outside upper center",
        ncols=2,
        frameon=False,
        fontsize=FONT_SIZE + 1,
        handlelength=3.5,
    )
    return figure


def quantity_um(stack: StackResult, quantity: str) -> FloatArray:
    """Values of one panel. (n_depth,) [um]."""
    if quantity == DIAMETER:
        return stack.curve.diameter_error_um
    return np.asarray(stack.curve.deflection_um[:, AXES.index(quantity)])


def band_um(stack: StackResult, quantity: str) -> FloatArray:
    """Low and high of one panel at the depths of the bands. (2, k) [um]."""
    if quantity == DIAMETER:
        return stack.bands.diameter_error_um
    return np.asarray(stack.bands.deflection_um[:, :, AXES.index(quantity)])


def _draw(axes: "Axes", stack: StackResult, quantity: str) -> None:
    style = STACK_STYLES[stack.name]
    low, high = band_um(stack, quantity)
    depth = stack.bands.depth_mm
    axes.fill(
        np.concatenate([depth, depth[::-1]]),
        np.concatenate([low, high[::-1]]),
        color=style.colour,
        alpha=BAND_ALPHA,
        linewidth=0.0,
    )
    axes.plot(
        stack.curve.depth_mm,
        quantity_um(stack, quantity),
        color=style.colour,
        linestyle=style.line,
        marker=style.marker,
        markersize=5.5,
        markeredgecolor=INK,
        markeredgewidth=0.6,
        linewidth=2.2,
        label=style.title,
    )


def _dress(axes: "Axes", title: str) -> None:
    axes.set_title(title, fontsize=FONT_SIZE + 1, loc="left")
    axes.set_ylabel("µm", fontsize=FONT_SIZE)
    axes.tick_params(labelsize=FONT_SIZE)
    axes.axhline(0.0, color=INK, linewidth=0.8)
    axes.grid(color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)
    axes.set_xlim(left=0.0)
    low, high = axes.dataLim.intervaly
    if low >= 0.0:
        axes.set_ylim(bottom=0.0)
    elif high <= 0.0:
        axes.set_ylim(top=0.0)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
