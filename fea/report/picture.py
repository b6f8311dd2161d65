"""The pictures of a stack with their lettering: title, legend, load, axes."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from fea.analysis.result import AXES, Comparison, StackResult
from fea.report import scene
from fea.report.field_file import FIRST_PART
from fea.report.number import rounded, setting
from fea.report.palette import DEFLECTION_MAP, INK, LOAD, STACK_STYLES, part_colour
from fea.report.surface import Surface, drawing_scale, surface_of
from fea.report.view import View, view_of
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH = 1200
"""Of every picture [pixel]."""
TITLE_HEIGHT = 110
LEGEND_HEIGHT = 150
DPI = 150
FONT_SIZE = 13.0
ARROW_LENGTH = 0.22
"""Of the load's arrow, over the size of the stack."""
TRIAD_LENGTH = 85.0
"""Of a machine axis that lies in the picture's plane [pixel]."""
TRIAD_BOX = (250, 200)
"""Width and height of the corner that takes the axes with their names [pixel]."""
TRIAD_SHIFT = (-18.0, 4.0)
"""From the middle of that corner to the middle of the axes without names [pixel]."""
LABEL_WIDTH, LABEL_HEIGHT, LABEL_GAP = 380, 80, 12
"""Room for two lines of words about the load, and their distance to it [pixel]."""
WHITE = 255
DARK = 90
"""Pixels below this are edges between faces, where no number should stand."""
NUMBER_ROOM, HIDDEN_ROOM = 17.0, 4.0
"""Distance from the rim of what is seen of a part [pixel]: below the first its number
stands beside it, below the second it counts as hidden."""
NUMBER_ASIDE = (0.0, 26.0)
"""How far beside [point]."""
COARSER = 3
"""Every third pixel is enough to find a place for a number."""
COLOUR_TICKS = 6
COLOUR_BAR_PLACE = (0.2, 0.085, 0.6, 0.022)
"""Left, bottom, width, height over those of the picture."""
TIP_PART = "tool bit"


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureSet:
    """What the pictures of both stacks have in common, so that they compare.

    Parameters
    ----------
    surfaces : of each stack, by its name
    view : the same for all pictures
    scale : deformations are drawn this many times too large
    top_um : largest movement of any point of either stack [um]
    arrow_length : [mm]
    """

    surfaces: dict[str, tuple[Surface, ...]]
    view: View
    scale: float
    top_um: float
    arrow_length: float


def prepare(comparison: Comparison) -> PictureSet:
    """Extract every skin once and choose view and scale for both stacks."""
    stacks = (comparison.quick_change, comparison.four_way)
    surfaces = {s.name: tuple(surface_of(field) for field in s.fields) for s in stacks}
    skins = [skin for group in surfaces.values() for skin in group]
    corners = np.concatenate([skin.points for skin in skins])
    size = float(np.ptp(corners, axis=0).max())
    movement = max(float(np.linalg.norm(s.displacement, axis=1).max()) for s in skins)
    scale = drawing_scale(movement, size)
    length = ARROW_LENGTH * size
    seen = [corners, *(skin.deformed(scale) for skin in skins)]
    seen += [_load_arrow(s, surfaces[s.name], scale, length) for s in stacks]
    return PictureSet(
        surfaces=surfaces,
        view=view_of(np.concatenate(seen), WIDTH),
        scale=scale,
        top_um=max(float(skin.movement_um.max()) for skin in skins),
        arrow_length=length,
    )


def parts_figure(stack: StackResult, common: PictureSet) -> "Figure":
    """Undeformed stack: parts in colour with numbers, and a legend naming them."""
    surfaces = common.surfaces[stack.name]
    image = scene.parts_picture(surfaces, common.view)
    figure, axes = canvas(image, f"{_title(stack)}: the parts")
    seen = scene.visible_parts(surfaces, common.view)
    seen[image.max(axis=2) < DARK] = 0
    _number_parts(axes, seen, len(surfaces))
    triad(axes, image, common.view)
    name_parts(figure, surfaces)
    return figure


def deformed_figure(stack: StackResult, common: PictureSet) -> "Figure":
    """Deformed stack under the cutting force, coloured by how far it moves."""
    surfaces = common.surfaces[stack.name]
    arrow = _load_arrow(stack, surfaces, common.scale, common.arrow_length)
    image = scene.deformed_picture(
        surfaces, common.view, common.scale, common.top_um, arrow
    )
    depth = setting(float(stack.curve.depth_mm[-1]))
    title = (
        f"{_title(stack)} at {depth} mm {stack.curve.fed.quantity}\n"
        f"deformation drawn {common.scale:g} × true size; black lines: undeformed"
    )
    figure, axes = canvas(image, title)
    force = rounded(float(np.linalg.norm(stack.load_n)))
    moved = rounded(float(np.linalg.norm(stack.curve.deflection_um[-1])))
    tail = common.view.pixels(arrow[0])
    _label_above(axes, image, tail, f"cutting force {force} N\ntip moves {moved} µm")
    triad(axes, image, common.view)
    _colour_bar(figure, common.top_um)
    return figure


def _title(stack: StackResult) -> str:
    title = STACK_STYLES[stack.name].title
    return title[:1].upper() + title[1:]


def _load_arrow(
    stack: StackResult, surfaces: tuple[Surface, ...], scale: float, length: float
) -> FloatArray:
    """Tail and head of the load's arrow; its head touches the deformed tip. (2, 3)."""
    tool = next(surface for surface in surfaces if surface.name == TIP_PART)
    nearest = int(np.argmin(np.linalg.norm(tool.points, axis=1)))
    head = tool.deformed(scale)[nearest]
    along = stack.load_n / np.linalg.norm(stack.load_n)
    return np.array([head - length * along, head])


def canvas(image: scene.Image, title: str) -> tuple["Figure", "Axes"]:
    """Figure with the picture in its middle; its axes count the picture's pixels."""
    from matplotlib.figure import Figure

    height, width = image.shape[:2]
    whole = height + TITLE_HEIGHT + LEGEND_HEIGHT
    figure = Figure(figsize=(width / DPI, whole / DPI), dpi=DPI, facecolor="white")
    axes = figure.add_axes((0.0, LEGEND_HEIGHT / whole, 1.0, height / whole))
    axes.imshow(image, interpolation="none", aspect="auto")
    axes.set_axis_off()
    middle = 1.0 - TITLE_HEIGHT / whole / 2.0
    figure.text(0.5, middle, title, ha="center", va="center", fontsize=FONT_SIZE + 2)
    return figure, axes


def _number_parts(axes: "Axes", seen: NDArray[np.uint8], n_part: int) -> None:
    """Put a part's number where it is seen widest, or beside it if that is narrow."""
    from scipy.ndimage import distance_transform_edt

    for number in range(1, n_part + 1):
        inside = np.pad(seen[::COARSER, ::COARSER] == number, 1)
        depth = COARSER * np.asarray(distance_transform_edt(inside))
        row, column = np.unravel_index(int(depth.argmax()), depth.shape)
        room = float(depth[row, column])
        if room < HIDDEN_ROOM:
            continue
        axes.annotate(
            str(number),
            (float(COARSER * (column - 1)), float(COARSER * (row - 1))),
            xytext=(0.0, 0.0) if room >= NUMBER_ROOM else NUMBER_ASIDE,
            textcoords="offset points",
            ha="center",
            va="center",
            fontsize=FONT_SIZE - 2,
            bbox={"boxstyle": "circle,pad=0.2", "fc": "white", "ec": INK, "lw": 0.8},
            arrowprops={"arrowstyle": "-", "color": INK, "shrinkB": 0.0},
        )


def name_parts(figure: "Figure", surfaces: tuple[Surface, ...]) -> None:
    """Name the parts by their colours, below the picture."""
    from matplotlib.patches import Patch

    handles = [
        Patch(
            facecolor=part_colour(surface.name),
            edgecolor=INK,
            label=f"{number}  {surface.name}",
        )
        for number, surface in enumerate(surfaces, start=FIRST_PART)
    ]
    figure.legend(
        handles=handles,
        loc="lower center",
        ncols=-(-len(handles) // 2),
        frameon=False,
        fontsize=FONT_SIZE,
        borderaxespad=0.6,
    )


def _label_above(axes: "Axes", image: scene.Image, spot: FloatArray, text: str) -> None:
    """Write over a spot (column, row), above everything that is drawn there."""
    column = float(spot[0])
    strip = _drawn(image)[:, max(int(column), 0) : int(column) + LABEL_WIDTH]
    top = int(strip.any(axis=1).argmax())
    row = max(min(top, float(spot[1])) - LABEL_GAP, LABEL_HEIGHT)
    axes.text(
        max(column, LABEL_GAP),
        row,
        text,
        ha="left",
        va="bottom",
        color=LOAD,
        fontsize=FONT_SIZE,
        fontweight="bold",
    )


def triad(axes: "Axes", image: scene.Image, view: View) -> None:
    """Machine axes by name, in the emptiest corner of the picture."""
    style: dict[str, Any] = {"arrowstyle": "-|>", "color": INK, "lw": 1.6}
    ends = view.pixels(np.eye(3)) - view.pixels(np.zeros(3))
    ends *= TRIAD_LENGTH / np.linalg.norm(ends, axis=1).max()
    extent = np.vstack([ends, np.zeros(2)])
    origin = (
        _empty_corner(image)
        + TRIAD_SHIFT
        - (extent.min(axis=0) + extent.max(axis=0)) / 2.0
    )
    for name, end in zip(AXES, ends, strict=True):
        axes.annotate("", origin + end, origin, arrowprops=style)
        column, row = origin + end * 1.12
        axes.text(
            column,
            row,
            name,
            ha="center" if abs(end[0]) < 1.0 else "left",
            va="bottom" if end[1] < 0.0 else "top",
            fontsize=FONT_SIZE - 1,
            color=INK,
        )


def _empty_corner(image: scene.Image) -> FloatArray:
    """Middle of the corner with the fewest drawn pixels, the lower right first."""
    height, width = image.shape[:2]
    wide, high = TRIAD_BOX
    drawn = _drawn(image)
    corners = [(c, r) for r in (height - high, 0) for c in (width - wide, 0)]

    def filled(corner: tuple[int, int]) -> int:
        column, row = corner
        return int(drawn[row : row + high, column : column + wide].sum())

    return np.array(min(corners, key=filled)) + np.array(TRIAD_BOX) / 2.0


def _drawn(image: scene.Image) -> NDArray[np.bool_]:
    """Pixels that are not white."""
    return np.asarray((image < WHITE).any(axis=2))


def _colour_bar(figure: "Figure", top_um: float) -> None:
    from matplotlib.cm import ScalarMappable
    from matplotlib.colors import Normalize
    from matplotlib.ticker import MaxNLocator

    axes = figure.add_axes(COLOUR_BAR_PLACE)
    bar = figure.colorbar(
        ScalarMappable(norm=Normalize(0.0, top_um), cmap=DEFLECTION_MAP),
        cax=axes,
        orientation="horizontal",
        ticks=MaxNLocator(COLOUR_TICKS, steps=[1, 2, 5, 10]),
    )
    bar.set_label("movement (µm)", fontsize=FONT_SIZE)
    bar.ax.tick_params(labelsize=FONT_SIZE)
