"""Plots of deflection and error of size against depth of cut, both stacks."""

from typing import TYPE_CHECKING, Any

import numpy as np

from fea.analysis.result import AXES, Comparison, StackResult
from fea.report.motion import place
from fea.report.onset import Onset, beginnings
from fea.report.palette import FAINT, INK, ONSET_MARKERS, STACK_STYLES
from fea.report.size_error import error_band_um, error_name, error_um, larger
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIZE_INCH = (8.0, 7.4)
FONT_SIZE = 11.0
BAND_ALPHA = 0.22
MOST_MARKERS = 7
"""Of a curve's own points; more would hide where something begins."""
ONSET_SIZE = 9.5
SIZE = "size"
PANELS = {
    "radial": "Radial, away from the work",
    "axial": "Axial, toward the tailstock",
    "vertical": "Vertical (negative: down)",
    SIZE: "{}, work {}",
}
BAND_LABEL = "5 to 95 %: joints, ground, clamping uncertain"


def curves_figure(comparison: Comparison) -> "Figure":
    """Four panels: radial, axial, vertical deflection and error of size."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=SIZE_INCH, layout="constrained", facecolor="white")
    panels = figure.subplots(2, 2, sharex=True).ravel()
    one = comparison.quick_change
    for axes, quantity in zip(panels, PANELS, strict=True):
        for stack in (comparison.quick_change, comparison.four_way):
            _draw(axes, stack, quantity)
        _dress(axes, PANELS[quantity].format(error_name(one).capitalize(), larger(one)))
    for axes in panels[-2:]:
        label = f"{one.curve.fed.quantity} that is set (mm)"
        axes.set_xlabel(label, fontsize=FONT_SIZE)
    _explain(figure, panels[0], comparison)
    return figure


def _explain(figure: "Figure", axes: "Axes", comparison: Comparison) -> None:
    """Name curves, bands and marks above the panels."""
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    handles, _ = axes.get_legend_handles_labels()
    handles.append(Patch(color=INK, alpha=BAND_ALPHA, linewidth=0.0, label=BAND_LABEL))
    stacks = (comparison.quick_change, comparison.four_way)
    begun = {each.onset for stack in stacks for each in beginnings(stack)}
    handles += [
        Line2D([], [], label=f"a joint begins to {onset}", **_mark(onset, "white"))
        for onset in Onset
        if onset in begun
    ]
    figure.legend(
        handles=handles,
        loc="outside upper center",
        ncols=2,
        frameon=False,
        fontsize=FONT_SIZE,
        handlelength=3.5,
    )


def _mark(onset: Onset, colour: str) -> dict[str, Any]:
    return {
        "linestyle": "none",
        "marker": ONSET_MARKERS[onset],
        "markersize": ONSET_SIZE,
        "markerfacecolor": colour,
        "markeredgecolor": INK,
        "markeredgewidth": 1.6,
    }


def quantity_um(stack: StackResult, quantity: str) -> FloatArray:
    """Values of one panel. (n_depth,) [um]."""
    if quantity == SIZE:
        return error_um(stack)
    return np.asarray(stack.curve.deflection_um[:, AXES.index(quantity)])


def band_um(stack: StackResult, quantity: str) -> FloatArray:
    """Low and high of one panel at the depths of the bands. (2, k) [um]."""
    if quantity == SIZE:
        return error_band_um(stack)
    return np.asarray(stack.bands.deflection_um[:, :, AXES.index(quantity)])


def _draw(axes: "Axes", stack: StackResult, quantity: str) -> None:
    style = STACK_STYLES[stack.name]
    values = quantity_um(stack, quantity)
    axes.fill_between(
        stack.bands.depth_mm,
        *band_um(stack, quantity),
        color=style.colour,
        alpha=BAND_ALPHA,
        linewidth=0.0,
    )
    axes.plot(
        stack.curve.depth_mm,
        values,
        color=style.colour,
        linestyle=style.line,
        marker=style.marker,
        markevery=max(1, -(-len(values) // MOST_MARKERS)),
        markersize=5.5,
        markeredgecolor=INK,
        markeredgewidth=0.6,
        linewidth=2.2,
        label=style.title,
    )
    for each in beginnings(stack):
        at = place(stack, each.depth_mm)
        spot = ([stack.curve.depth_mm[at]], [values[at]])
        axes.plot(*spot, zorder=3.0, **_mark(each.onset, style.colour))


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
