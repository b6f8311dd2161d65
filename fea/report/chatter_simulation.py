"""Plot of the tip's motion in simulated cuts below and above the limit."""

from math import isfinite
from typing import TYPE_CHECKING, Any

import numpy as np

from fea.analysis.simulation_result import Simulated, SimulatedStack, Traces
from fea.report.chatter_words import speed_words
from fea.report.image import Image, plot
from fea.report.number import coarse, rounded, setting
from fea.report.palette import FAINT, INK, STACK_STYLES
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes

NAME = "simulation"
SIZE_INCH = (8.0, 6.4)
FONT_SIZE = 11.0
COLUMNS = 300
"""Of a plot of the whole cut: within each the motion is between two heights."""
SWINGS = 6
"""Shown one by one, at the end."""
ABOVE_ALPHA = 0.55
BELOW_STYLE: dict[str, Any] = {"color": INK, "linewidth": 1.3, "linestyle": "-"}


def simulation_plot(simulated: Simulated) -> Image | None:
    """Draw both stacks at the speed of the case; None if nothing chatters there."""
    stacks = (simulated.quick_change, simulated.four_way)
    if all(stack.traces is None for stack in stacks):
        return None
    from matplotlib.figure import Figure

    figure = Figure(figsize=SIZE_INCH, layout="constrained", facecolor="white")
    panels = figure.subplots(2, 2, sharey=True)
    for (whole, end), stack in zip(panels.T, stacks, strict=True):
        title = STACK_STYLES[stack.name].title
        whole.set_title(title[:1].upper() + title[1:], loc="left", fontsize=FONT_SIZE)
        if stack.traces is None:
            _say_nothing_chatters(whole, stack)
            end.axis("off")
            continue
        for axes in (whole, end):
            _dress(axes)
            axes.set_ylabel("along the chip (µm)", fontsize=FONT_SIZE)
        _draw_whole(whole, stack.name, stack.traces)
        _draw_end(end, stack, stack.traces)
        whole.legend(loc="upper left", frameon=False, fontsize=FONT_SIZE - 1)
    speed = speed_words(stacks[0].speeds[0].speed_rpm)
    told = " ".join(_told(stack) for stack in stacks)
    return plot(
        figure,
        NAME,
        alt=(
            f"Motion of the tip over time at {speed} rev/min with each stack, the "
            f"whole cut above and its last swings below. {told}"
        ),
        caption=(
            f"The cut followed through time at {speed} rev/min: motion of the tip over "
            "the work along the chip's thickness, from the moment in which the edge "
            "is in the full cut. Below the limit (black) the swing of the entry dies, "
            "above it (coloured) it grows until the force law's curve, or the tool "
            f"that leaves the cut, holds it. Below: the last {SWINGS} swings."
        ),
    )


def _told(stack: SimulatedStack) -> str:
    title, traces = STACK_STYLES[stack.name].title, stack.traces
    above = stack.speeds[0].above
    if traces is None or above is None:
        return f"{title.capitalize()}: no cut that chatters was followed."
    return (
        f"{title.capitalize()}: at {coarse(traces.below_mm)} mm the swing dies, at "
        f"{coarse(traces.above_mm)} mm it settles at {rounded(above.swing_um)} µm peak "
        "to peak."
    )


def _say_nothing_chatters(axes: "Axes", stack: SimulatedStack) -> None:
    limit = stack.speeds[0].limit_mm
    deepest = setting(stack.deepest_mm)
    text = "was not followed" if limit != limit else f"up to {deepest} mm it is quiet"
    axes.axis("off")
    axes.text(0.5, 0.5, text, transform=axes.transAxes, ha="center", fontsize=FONT_SIZE)


def _draw_whole(axes: "Axes", name: str, traces: Traces) -> None:
    """Heights between which the tip moves."""
    colour = STACK_STYLES[name].colour
    for motion, depth, style in (
        (traces.above_um, traces.above_mm, {"color": colour, "alpha": ABOVE_ALPHA}),
        (traces.below_um, traces.below_mm, {"color": INK}),
    ):
        time, low, high = heights(traces.step_s, motion)
        label = f"{coarse(depth)} mm"
        axes.fill_between(time, low, high, linewidth=0.0, label=label, **style)
    axes.set_xlabel("time (s)", fontsize=FONT_SIZE)
    axes.set_xlim(0.0, traces.step_s * len(traces.above_um))


def heights(
    step_s: float, motion: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Least and greatest motion within equal spans of time. (k,) each, with the time.

    Parameters
    ----------
    step_s : between two values of the motion
    motion : (n,); what does not fill a span at the end is left out
    """
    span = max(1, -(-len(motion) // COLUMNS))
    rows = motion[: len(motion) // span * span].reshape(-1, span)
    middle = step_s * span * (np.arange(len(rows)) + 0.5)
    return np.asarray(middle), rows.min(axis=1), rows.max(axis=1)


def _draw_end(axes: "Axes", stack: SimulatedStack, traces: Traces) -> None:
    """Draw the last swings one by one."""
    above = stack.speeds[0].above
    hertz = np.nan if above is None else above.frequency_hz
    shortest = min(len(traces.above_um), len(traces.below_um))
    shown = int(SWINGS / hertz / traces.step_s) if isfinite(hertz) else shortest
    shown = min(shown, shortest)
    passed = 1e3 * traces.step_s * np.arange(shown)
    colour = STACK_STYLES[stack.name].colour
    axes.plot(passed, traces.above_um[-shown:], color=colour, linewidth=2.0)
    axes.plot(passed, traces.below_um[-shown:], **BELOW_STYLE)
    axes.set_xlabel("time (ms)", fontsize=FONT_SIZE)
    axes.set_xlim(0.0, passed[-1])


def _dress(axes: "Axes") -> None:
    axes.tick_params(labelsize=FONT_SIZE)
    axes.grid(color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
