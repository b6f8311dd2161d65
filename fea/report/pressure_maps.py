"""Contact pressure on every pad, clamped and under the deepest cut."""

from typing import TYPE_CHECKING

import numpy as np

from fea.analysis.result import JointResult, PressureMap, StackResult
from fea.report.number import rounded, setting
from fea.report.palette import INK, STACK_STYLES

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.image import AxesImage

WIDTH_INCH, ROW_INCH, HEAD_INCH = 8.0, 0.95, 0.9
FONT_SIZE = 10.0
COLOURS = "YlGnBu"
OPEN = "white"


def pressure_figure(stack: StackResult) -> "Figure":
    """One row a joint: pressure when clamped, and under the deepest cut."""
    from matplotlib.figure import Figure

    height = HEAD_INCH + ROW_INCH * len(stack.joints)
    figure = Figure(
        figsize=(WIDTH_INCH, height), layout="constrained", facecolor="white"
    )
    panels = figure.subplots(len(stack.joints), 2, squeeze=False)
    depth = setting(float(stack.curve.depth_mm[-1]))
    heads = ("clamped", f"under the cut, {depth} mm deep")
    for axes, head in zip(panels[0], heads, strict=True):
        axes.set_title(head, fontsize=FONT_SIZE + 1)
    for row, joint in zip(panels, stack.joints, strict=True):
        _draw_joint(figure, row, joint)
    title = STACK_STYLES[stack.name].title.capitalize()
    figure.suptitle(f"{title}: contact pressure (MPa)", fontsize=FONT_SIZE + 2)
    return figure


def _draw_joint(figure: "Figure", row: "np.ndarray", joint: JointResult) -> None:
    """Both maps of a joint on one scale, the long side of the pad lying."""
    maps = (joint.clamped, joint.loaded)
    top = max(float(np.nanmax(each.pressure_mpa)) for each in maps)
    for axes, pressure in zip(row, maps, strict=True):
        image = _draw_map(axes, pressure, top)
    row[0].set_ylabel(
        joint.name, fontsize=FONT_SIZE, rotation=0, ha="right", va="center", labelpad=8
    )
    bar = figure.colorbar(image, ax=list(row), fraction=0.03, pad=0.01)
    bar.set_ticks([0.0, top], labels=["0", rounded(top)])
    bar.ax.tick_params(labelsize=FONT_SIZE - 1)


def _draw_map(axes: "Axes", pressure: PressureMap, top: float) -> "AxesImage":
    from matplotlib import colormaps

    along, across = pressure.along_mm, pressure.across_mm
    values = pressure.pressure_mpa.T
    if across[-1] > along[-1]:
        along, across, values = across, along, values.T
    shown = np.ma.masked_where(~(values > 0.0), values)
    colours = colormaps[COLOURS].with_extremes(bad=OPEN)
    axes.set_facecolor(OPEN)
    extent = (along[0], along[-1], across[0], across[-1])
    image = axes.imshow(
        shown,
        extent=extent,
        origin="lower",
        cmap=colours,
        vmin=0.0,
        vmax=top,
        interpolation="nearest",
    )
    axes.set_xticks([])
    axes.set_yticks([])
    for spine in axes.spines.values():
        spine.set_color(INK)
        spine.set_linewidth(0.8)
    return image
