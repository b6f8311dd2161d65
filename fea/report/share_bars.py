"""Bars of what each member contributes to the tip's motion, both stacks."""

from typing import TYPE_CHECKING

from fea.analysis.member import group_fractions, merged
from fea.analysis.result import Comparison, Share, ShareKind, StackResult
from fea.report.motion import motion_along_force
from fea.report.number import percent
from fea.report.palette import FAINT, GROUP_STYLES, INK, STACK_STYLES
from fea.report.share_band import Ends, share_bands

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Row = tuple[ShareKind, str]

WIDTH_INCH = 8.0
ROW_INCH = 0.4
TOP_INCH = 1.5
"""Height of the two bars by group."""
EXTRA_INCH = 1.6
"""Legend and axis label."""
BAR = 0.4
FONT_SIZE = 11.0
LABEL_ROOM = 1.14
"""Axis over longest bar, so that the label at its end fits."""
LABEL_GAP, WHISKER_SIZE = 5.0, 6.0
"""From a bar's or band's end to its label; height of a band's ends. [point]."""
NARROWEST_LABELLED = 0.06
"""Segments that are a smaller fraction of the longest bar go without a label."""
HEADINGS = {
    ShareKind.PART: "Parts",
    ShareKind.JOINT: "Joints",
    ShareKind.LINK: "Links",
}
MOTION_LABEL = "motion of the tip along the cutting force (µm)"


def shares_figure(comparison: Comparison) -> "Figure":
    """Bars by group on top, below them a pair of bars for every member.

    Bars are as long as the motion [um] that they give, so that the stacks compare;
    the label is the fraction of that stack's own motion.
    """
    from matplotlib.figure import Figure

    rows = member_rows(comparison)
    members_inch = ROW_INCH * (len(rows) + len(HEADINGS))
    figure = Figure(
        figsize=(WIDTH_INCH, TOP_INCH + members_inch + EXTRA_INCH),
        layout="constrained",
        facecolor="white",
    )
    top, bottom = figure.subplots(2, 1, height_ratios=(TOP_INCH, members_inch))
    _draw_groups(top, comparison)
    _draw_members(bottom, comparison, rows)
    return figure


def member_rows(comparison: Comparison) -> list[Row]:
    """Members of either stack: parts, joints, links; the largest motion first."""
    motion: dict[Row, float] = {}
    for stack in (comparison.quick_change, comparison.four_way):
        for row, share in _by_row(stack).items():
            size = share.fraction * motion_along_force(stack)
            motion[row] = max(motion.get(row, 0.0), size)
    kinds = list(HEADINGS)
    return sorted(motion, key=lambda row: (kinds.index(row[0]), -motion[row]))


def _by_row(stack: StackResult) -> dict[Row, Share]:
    return {(share.kind, share.name): share for share in merged(stack.shares)}


def _draw_groups(axes: "Axes", comparison: Comparison) -> None:
    stacks = (comparison.quick_change, comparison.four_way)
    longest = max(motion_along_force(stack) for stack in stacks)
    for place, stack in enumerate(stacks):
        left = 0.0
        for group, fraction in group_fractions(stack.shares).items():
            length = fraction * motion_along_force(stack)
            colour, hatch = GROUP_STYLES[group]
            bar = axes.barh(
                place,
                length,
                height=0.62,
                left=left,
                color=colour,
                hatch=hatch,
                edgecolor=INK,
                linewidth=0.8,
                label=group if place == 0 else None,
            )
            if length > NARROWEST_LABELLED * longest:
                axes.bar_label(
                    bar,
                    [percent(fraction)],
                    label_type="center",
                    fontsize=FONT_SIZE,
                    bbox={"boxstyle": "round,pad=0.15", "fc": "white", "ec": "none"},
                )
            left += length
    axes.set_yticks([0, 1], [STACK_STYLES[stack.name].title for stack in stacks])
    axes.set_xlim(0.0, LABEL_ROOM * longest)
    _dress(axes)
    axes.legend(
        loc="lower center",
        bbox_to_anchor=(0.45, 1.0),
        ncols=3,
        frameon=False,
        fontsize=FONT_SIZE,
    )


def _draw_members(axes: "Axes", comparison: Comparison, rows: list[Row]) -> None:
    places = _places(rows)
    stacks = (comparison.quick_change, comparison.four_way)
    furthest = max(
        _draw_stack(axes, stack, rows, places, offset)
        for offset, stack in zip((-BAR / 2, BAR / 2), stacks, strict=True)
    )
    axes.set_yticks([places[row] for row in rows], [row[1] for row in rows])
    axes.set_xlim(0.0, LABEL_ROOM * furthest)
    axes.set_ylim(-1.6, max(places.values()) + 0.6)
    axes.set_xlabel(MOTION_LABEL, fontsize=FONT_SIZE)
    _dress(axes)
    _head(axes, places)
    axes.legend(loc="lower right", frameon=True, fontsize=FONT_SIZE)


def _draw_stack(
    axes: "Axes",
    stack: StackResult,
    rows: list[Row],
    places: dict[Row, float],
    offset: float,
) -> float:
    """Bars of one stack with the bands of its shares; how far they reach. [um]."""
    style = STACK_STYLES[stack.name]
    shares, bands = _by_row(stack), share_bands(stack)
    present = [row for row in rows if row in shares]
    heights = [places[row] + offset for row in present]
    motion = motion_along_force(stack)
    lengths = [shares[row].fraction * motion for row in present]
    axes.barh(
        heights,
        lengths,
        height=BAR,
        color=style.colour,
        hatch=style.hatch,
        edgecolor=INK,
        linewidth=0.6,
        label=style.title,
    )
    labels = [percent(shares[row].fraction) for row in present]
    ends = [
        (motion * bands[row[1]][0], motion * bands[row[1]][1])
        if row[1] in bands
        else (length, length)
        for row, length in zip(present, lengths, strict=True)
    ]
    _draw_bands(axes, heights, ends)
    reach = [max(pair[1], at) for pair, at in zip(ends, lengths, strict=True)]
    _label(axes, heights, reach, labels)
    return max(reach)


def _draw_bands(axes: "Axes", heights: list[float], ends: list[Ends]) -> None:
    """Draw bands by their ends: a skew band need not hold the bar's own end."""
    lows, highs = zip(*ends, strict=True)
    axes.hlines(heights, lows, highs, color=INK, linewidth=1.4)
    axes.plot([*lows, *highs], heights * 2, "|", color=INK, markersize=WHISKER_SIZE)


def _label(
    axes: "Axes", heights: list[float], reach: list[float], labels: list[str]
) -> None:
    for height, end, label in zip(heights, reach, labels, strict=True):
        axes.annotate(
            label,
            (end, height),
            xytext=(LABEL_GAP, 0.0),
            textcoords="offset points",
            va="center",
            fontsize=FONT_SIZE - 2,
        )


def _places(rows: list[Row]) -> dict[Row, float]:
    """Height of every row; a heading's place is left free before each kind."""
    kinds = list(dict.fromkeys(kind for kind, _ in rows))
    return {row: i + kinds.index(row[0]) for i, row in enumerate(rows)}


def _head(axes: "Axes", places: dict[Row, float]) -> None:
    for kind, heading in HEADINGS.items():
        first = min((y for row, y in places.items() if row[0] is kind), default=None)
        if first is not None:
            axes.text(
                0.005,
                first - 0.95,
                heading,
                transform=axes.get_yaxis_transform(),
                fontsize=FONT_SIZE,
                fontweight="bold",
                va="center",
            )


def _dress(axes: "Axes") -> None:
    axes.invert_yaxis()
    axes.tick_params(labelsize=FONT_SIZE)
    axes.tick_params(axis="y", length=0.0)
    axes.grid(axis="x", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
