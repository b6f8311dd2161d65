"""A study of one variable, or of choices: measures along it, a line each choice."""

from collections.abc import Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from fea.case.study_section import Study
from fea.report.palette import CHOICE_STYLES, INK
from fea.report.study_axes import (
    BEYOND_LABEL,
    FONT_SIZE,
    WIDTH_INCH,
    Mark,
    draw_marks,
    dress,
    explain,
    measure_title,
)
from fea.study.answer import beyond, value_of
from fea.study.axis import Axis
from fea.study.run import Finished

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PANEL_INCH, LEGEND_INCH = 2.7, 0.9
ROOM = 0.3
"""Beside the first and the last of a choice's names, of the way between two."""


def lines_figure(
    study: Study,
    finished: Sequence[Finished],
    axes: tuple[Axis, Axis | None],
    measures: Sequence[str],
    named: Sequence[Mark],
) -> "Figure":
    """One panel a measure, all along the same variable.

    Parameters
    ----------
    axes : the variable along the panels; a choice with a line each name, or None
    """
    from matplotlib.figure import Figure

    along, lines = axes
    height = PANEL_INCH * len(measures) + LEGEND_INCH
    size = (WIDTH_INCH, height)
    figure = Figure(figsize=size, layout="constrained", facecolor="white")
    panels = figure.subplots(len(measures), 1, sharex=True, squeeze=False)[:, 0]
    for panel, measure in zip(panels, measures, strict=True):
        for i, (name, group) in enumerate(_groups(finished, lines).items()):
            _line(panel, along, group, measure, _style(i, name))
        _beyond(study, panel, along, finished, measure)
        draw_marks(panel, named, partial(_spot, along, measure))
        dress(panel, "", "")
        panel.set_title(measure_title(measure), loc="left", fontsize=FONT_SIZE)
    panels[-1].set_xlabel(along.title, fontsize=FONT_SIZE)
    if along.names:
        panels[-1].set_xticks(range(len(along.names)), list(map(str, along.names)))
        panels[-1].set_xlim(-ROOM, len(along.names) - 1 + ROOM)
    explain(figure, panels[0], 3)
    return figure


def _groups(
    finished: Sequence[Finished], lines: Axis | None
) -> Mapping[str, list[Finished]]:
    """Sort designs by the name of a choice; all are one group if there is none."""
    if lines is None:
        return {"computed": list(finished)}
    return {
        str(name): [e for e in finished if e.design.values[lines.key] == name]
        for name in lines.names
    }


def _style(i: int, name: str) -> Mapping[str, Any]:
    colour, line, marker = CHOICE_STYLES[i % len(CHOICE_STYLES)]
    return {"color": colour, "linestyle": line, "marker": marker, "label": name}


def _at(along: Axis, value: object) -> float:
    return float(along.names.index(value)) if along.names else along.number(value)


def _line(
    panel: "Axes",
    along: Axis,
    group: Sequence[Finished],
    measure: str,
    style: Mapping[str, Any],
) -> None:
    spots = sorted(
        (_at(along, each.design.values[along.key]), value_of(each, measure))
        for each in group
    )
    places, values = zip(*spots, strict=True)
    # Nothing lies between two names.
    line = {"linestyle": "none"} if along.names else {}
    panel.plot(places, values, markersize=6.0, linewidth=1.8, **{**style, **line})


def _beyond(
    study: Study,
    panel: "Axes",
    along: Axis,
    finished: Sequence[Finished],
    measure: str,
) -> None:
    """Cross out what breaks a limit."""
    out = [each for each in finished if beyond(study, each) is not None]
    if out:
        panel.plot(
            [_at(along, each.design.values[along.key]) for each in out],
            [value_of(each, measure) for each in out],
            "x",
            color=INK,
            markersize=9.0,
            markeredgewidth=1.6,
            label=BEYOND_LABEL,
        )


def _spot(along: Axis, measure: str, mark: Mark) -> tuple[float, float] | None:
    value = mark.values[along.key]
    if measure not in mark.measures or (along.names and value not in along.names):
        return None
    at = _at(along, value)
    if not along.names and not along.low <= at <= along.high:
        return None
    return at, mark.measures[measure]
