"""Contact pressure on every pad, clamped and under the deepest cut."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fea.analysis.result import JointResult, PressureMap, StackResult
from fea.report.motion import deepest
from fea.report.number import percent, rounded, setting
from fea.report.onset import by_group
from fea.report.palette import FAINT, INK, PRESSURE_MAP, STACK_STYLES, WINDOW
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.contour import QuadContourSet
    from matplotlib.figure import Figure

WIDTH = 9.0
HEAD, FOOT = 0.85, 0.0
"""Room for title and column heads, and below the last row. All sizes in inch."""
TEXT_LEFT, TEXT_WIDTH, BAR_WIDTH, BAR_GAP = 0.12, 1.95, 0.1, 0.15
PANEL_WIDTH, PANEL_HEIGHT = 2.8, 1.2
"""Largest panel: a pad fills its width or its height."""
COLUMN_GAP = 0.3
ROW_GAP = 0.5
"""Between rows: ticks, and the words above the next row."""
LEAST_ROW = 0.55
"""Of a pad that is lower than that: room for its name and its colour bar."""
FONT_SIZE, SMALL = 11.0, 9.0
LEVELS = 9
"""At most so many steps of colour."""
OPEN_HATCH = "////"
TOUCHING = 1e-6
"""Of a joint's highest pressure; what is less counts as open."""
LAND_TICKS, ACROSS_TICKS = 4, 1

Place = tuple[float, float, float, float]

DIRECTIONS = (
    ("away from work", "toward work"),
    ("to tailstock", "to headstock"),
    ("up", "down"),
)
"""Names of the machine's directions, forward and back, in the order of its axes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """A pressure map with its longer side lying.

    Parameters
    ----------
    lying_mm, standing_mm : (n,) from the pad's middle
    pressure_mpa : (n, n), first index standing; NaN in the pad's window
    directions : names of the machine directions right and up, roughly
    """

    lying_mm: FloatArray
    standing_mm: FloatArray
    pressure_mpa: FloatArray
    directions: tuple[str, str]

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height."""
        return float(np.ptp(self.lying_mm)), float(np.ptp(self.standing_mm))


def pressure_figure(stack: StackResult) -> "Figure":
    """One row a joint: pressure when clamped, and under the deepest cut.

    The end of a strut is one point and has no map.
    """
    from matplotlib.figure import Figure

    joints = [
        (joint, (joint.clamped, joint.loaded))
        for joint in by_group(stack)
        if joint.clamped is not None and joint.loaded is not None
    ]
    panels = [_panel_size(lying(joint, maps[0])) for joint, maps in joints]
    rows = [max(height, LEAST_ROW) + ROW_GAP for _, height in panels]
    whole = HEAD + sum(rows) + FOOT
    figure = Figure(figsize=(WIDTH, whole), facecolor="white")
    _head(figure, stack, whole)
    top = whole - HEAD
    for (joint, maps), size, row in zip(joints, panels, rows, strict=True):
        _draw_joint(figure, joint, maps, size, top - (row - ROW_GAP - size[1]) / 2.0)
        top -= row
    return figure


def lying(joint: JointResult, pressure: PressureMap) -> Lying:
    """Turn a map so that its longer side lies, and name the directions."""
    along, across = pressure.along_mm, pressure.across_mm
    names = [direction(side) for side in joint.sides]
    if np.ptp(across) > np.ptp(along):
        return Lying(
            lying_mm=across,
            standing_mm=along,
            pressure_mpa=pressure.pressure_mpa,
            directions=(names[1], names[0]),
        )
    return Lying(
        lying_mm=along,
        standing_mm=across,
        pressure_mpa=pressure.pressure_mpa.T,
        directions=(names[0], names[1]),
    )


def direction(side: FloatArray) -> str:
    """Name of the machine direction that is nearest to a vector (3,)."""
    axis = int(np.abs(side).argmax())
    forward, back = DIRECTIONS[axis]
    return forward if side[axis] > 0.0 else back


def levels(top: float) -> FloatArray:
    """Round pressures from 0 to above the highest, a step of colour between two."""
    from matplotlib.ticker import MaxNLocator

    found = MaxNLocator(LEVELS, steps=[1, 2, 2.5, 5, 10]).tick_values(0.0, top)
    return np.asarray(found, dtype=np.float64)


def _panel_size(pad: Lying) -> tuple[float, float]:
    """Width and height that show a pad in its true proportions. [inch]."""
    width, height = pad.size_mm
    scale = min(PANEL_WIDTH / width, PANEL_HEIGHT / height)
    return width * scale, height * scale


def _head(figure: "Figure", stack: StackResult, whole: float) -> None:
    title = STACK_STYLES[stack.name].title
    title = f"{title[:1].upper()}{title[1:]}: contact pressure (MPa; pads in mm)"
    figure.text(
        0.5, 1.0 - 0.22 / whole, title, ha="center", va="center", fontsize=FONT_SIZE + 3
    )
    heads = ("clamped, no cut", f"under the cut, {setting(deepest(stack))} mm deep")
    for column, head in enumerate(heads):
        figure.text(
            _left(column) / WIDTH,
            1.0 - 0.55 / whole,
            head,
            va="center",
            fontsize=FONT_SIZE + 1,
            fontweight="bold",
        )


def _left(column: int) -> float:
    return TEXT_WIDTH + column * (PANEL_WIDTH + COLUMN_GAP)


def _draw_joint(
    figure: "Figure",
    joint: JointResult,
    maps: tuple[PressureMap, PressureMap],
    size: tuple[float, float],
    top: float,
) -> None:
    """Both maps of a joint on one scale, their upper edge `top` from below. [inch]."""
    width, height = size
    highest = max(float(np.nanmax(each.pressure_mpa)) for each in maps)
    steps = levels(highest) if highest > 0.0 else None
    words = (
        _words(joint.clamped_force_n, joint.open_clamped),
        _words(joint.loaded_force_n, joint.open_loaded),
    )
    drawn = None
    for column, (pressure, text) in enumerate(zip(maps, words, strict=True)):
        axes = _axes(figure, (_left(column), top - height, width, height))
        drawn = _draw_map(axes, lying(joint, pressure), steps) or drawn
        axes.set_title(text, fontsize=SMALL, loc="left", pad=3.0)
        axes.tick_params(labelleft=column == 0)
    middle = top - height / 2.0
    _name(figure, joint, lying(joint, maps[0]), middle)
    if drawn is not None:
        tall = max(height, LEAST_ROW)
        left = _left(1) + width + BAR_GAP
        place = (left, middle - tall / 2.0, BAR_WIDTH, tall)
        _colour_bar(figure, drawn, place)


def _name(figure: "Figure", joint: JointResult, pad: Lying, middle: float) -> None:
    """Joint's name and, below it, how its pad lies in the machine."""
    right, up = pad.directions
    place = (TEXT_LEFT / WIDTH, middle / figure.get_figheight())
    figure.text(*place, joint.name, va="bottom", fontsize=FONT_SIZE)
    figure.text(*place, f"→ {right}\n↑ {up}", va="top", fontsize=SMALL)


def _colour_bar(figure: "Figure", drawn: "QuadContourSet", place: Place) -> None:
    from matplotlib.ticker import MaxNLocator

    bar = figure.colorbar(drawn, cax=_axes(figure, place))
    bar.set_ticks(MaxNLocator(2, steps=[1, 2, 2.5, 5, 10]))
    bar.ax.tick_params(labelsize=SMALL)
    bar.minorticks_off()


def _axes(figure: "Figure", place: Place) -> "Axes":
    """Axes at left, bottom, width, height. [inch]."""
    left, bottom, width, height = place
    whole = figure.get_figheight()
    return figure.add_axes(
        (left / WIDTH, bottom / whole, width / WIDTH, height / whole)
    )


def _words(force: float, opened: float) -> str:
    text = f"{rounded(force)} N"
    return f"{text}, {percent(opened)} open" if opened > 0.0 else text


def _draw_map(
    axes: "Axes", pad: Lying, steps: FloatArray | None
) -> "QuadContourSet | None":
    """Hatch the pad, lay the pressure over what touches, and blank the window."""
    from matplotlib.patches import Rectangle

    left, bottom = pad.lying_mm[0], pad.standing_mm[0]
    axes.add_patch(
        Rectangle(
            (left, bottom),
            *pad.size_mm,
            facecolor="white",
            edgecolor=FAINT,
            hatch=OPEN_HATCH,
            linewidth=0.0,
        )
    )
    drawn = None
    if steps is not None:
        drawn = axes.contourf(
            pad.lying_mm,
            pad.standing_mm,
            pad.pressure_mpa,
            levels=[TOUCHING * steps[-1], *steps[1:]],
            cmap=PRESSURE_MAP,
        )
    _cover_window(axes, pad)
    _dress(axes, pad)
    return drawn


def _cover_window(axes: "Axes", pad: Lying) -> None:
    from matplotlib.patches import Rectangle

    rows, columns = np.nonzero(np.isnan(pad.pressure_mpa))
    if not len(rows):
        return
    # Up to the first points outside of it, where the drawn pressure ends.
    left, right = pad.lying_mm[[columns.min() - 1, columns.max() + 1]]
    bottom, top = pad.standing_mm[[rows.min() - 1, rows.max() + 1]]
    axes.add_patch(
        Rectangle(
            (left, bottom),
            right - left,
            top - bottom,
            facecolor=WINDOW,
            edgecolor=INK,
            linewidth=0.8,
        )
    )


def _dress(axes: "Axes", pad: Lying) -> None:
    from matplotlib.ticker import MaxNLocator

    axes.set_xlim(pad.lying_mm[0], pad.lying_mm[-1])
    axes.set_ylim(pad.standing_mm[0], pad.standing_mm[-1])
    axes.xaxis.set_major_locator(MaxNLocator(LAND_TICKS))
    axes.yaxis.set_major_locator(MaxNLocator(ACROSS_TICKS))
    axes.tick_params(labelsize=SMALL - 1, length=2.5, pad=1.5)
    for spine in axes.spines.values():
        spine.set_color(INK)
        spine.set_linewidth(0.8)
