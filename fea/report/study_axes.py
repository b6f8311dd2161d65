"""What the plots of a study share: labels, and marks of the designs that matter."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING

from fea.case.study_measure import MEASURES
from fea.report.palette import FAINT, INK, LOAD
from fea.report.study_words import unit_of
from fea.study.answer import Answer, value_of
from fea.study.own import Own

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH_INCH = 8.0
FONT_SIZE = 11.0
MARK_SIZE = 12.0
BEYOND_LABEL = "breaks a limit, or cannot be made"
RECOMMENDED, NEXT, BEND, OWN = "recommended", "next best", "bend", "as the case stands"
MARKERS = {RECOMMENDED: "*", NEXT: "s", BEND: "D", OWN: "P"}
LARGER = {RECOMMENDED: 1.6, OWN: 1.1}
"""A star is mostly gaps."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A design with a name.

    Parameters
    ----------
    label : one of `MARKERS`
    values : of the studied keys, as the case file would say them
    measures : by name; what is not known is left out
    """

    label: str
    values: Mapping[str, object]
    measures: Mapping[str, float]


Place = Callable[[Mark], tuple[float, float] | None]


def marks(answer: Answer, own: Own | None) -> tuple[Mark, ...]:
    """Return the designs that have a name, each design once."""
    found = {RECOMMENDED: answer.recommended, BEND: answer.knee, NEXT: answer.runner_up}
    named: dict[int, Mark] = {}
    for label, one in found.items():
        if one is not None and one.design.number not in named:
            known = {name: value_of(one, name) for name in MEASURES}
            named[one.design.number] = _mark(label, one.design.values, known)
    if own is None or (own.design and own.design.design.number in named):
        return tuple(named.values())
    return (*named.values(), _mark(OWN, own.values, own.measures))


def _mark(
    label: str, values: Mapping[str, object], measures: Mapping[str, float]
) -> Mark:
    known = {name: value for name, value in measures.items() if isfinite(value)}
    return Mark(label=label, values=values, measures=known)


def draw_marks(axes: "Axes", named: Sequence[Mark], place: Place) -> None:
    """Draw each mark where `place` says, if it says so."""
    for mark in named:
        spot = place(mark)
        if spot is not None:
            axes.plot(
                *spot,
                marker=MARKERS[mark.label],
                linestyle="none",
                markersize=MARK_SIZE * LARGER.get(mark.label, 0.75),
                markerfacecolor="white" if mark.label == OWN else LOAD,
                markeredgecolor=INK,
                markeredgewidth=1.2,
                clip_on=False,
                zorder=5.0,
                label=mark.label,
            )


def measure_title(measure: str) -> str:
    """Return a measure with its unit, as it stands beside an axis."""
    unit = unit_of(measure)
    noun = MEASURES[measure].noun
    return f"{noun} ({unit})" if unit else noun


def dress(axes: "Axes", x: str, y: str) -> None:
    """Label both axes, and draw a faint grid behind all."""
    axes.set_xlabel(x, fontsize=FONT_SIZE)
    axes.set_ylabel(y, fontsize=FONT_SIZE)
    axes.tick_params(labelsize=FONT_SIZE)
    axes.grid(color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def explain(figure: "Figure", panel: "Axes", columns: int) -> None:
    """Name what one panel shows, below all of them; each name once."""
    handles, labels = panel.get_legend_handles_labels()
    named = dict(zip(labels, handles, strict=True))
    figure.legend(
        named.values(),
        named.keys(),
        loc="outside lower center",
        ncols=columns,
        frameon=False,
        fontsize=FONT_SIZE,
        handlelength=2.2,
        handleheight=1.2,
    )
