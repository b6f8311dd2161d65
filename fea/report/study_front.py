"""Every computed design of a study by both aims, and the front of the best of them."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fea.case.study_section import Study
from fea.report.palette import BEYOND, INK, STACK_STYLES
from fea.report.study_axes import (
    WIDTH_INCH,
    Mark,
    draw_marks,
    dress,
    explain,
    measure_title,
)
from fea.study.answer import Answer, value_of
from fea.study.run import Finished

if TYPE_CHECKING:
    from matplotlib.figure import Figure

SIZE_INCH = (WIDTH_INCH, 5.4)
ROOM = 0.06
"""Of the span of the values, left free around all points."""


def front_figure(
    study: Study, finished: Sequence[Finished], answer: Answer, named: Sequence[Mark]
) -> "Figure":
    """Draw the first aim over the second."""
    from matplotlib.figure import Figure

    up, along = (aim.measure for aim in study.aims)
    within = {each.design.number for each in answer.within}
    out = [each for each in finished if each.design.number not in within]
    blue = STACK_STYLES["quick-change"].colour
    figure = Figure(figsize=SIZE_INCH, layout="constrained", facecolor="white")
    panel = figure.subplots()
    for group, line, colour, label in (
        (out, "x", BEYOND[0], "breaks a limit"),
        (answer.within, "o", blue, "within the limits"),
        (answer.front, "-", INK, "front"),
    ):
        if len(group) > (line == "-"):
            x, y = ([value_of(each, name) for each in group] for name in (along, up))
            panel.plot(x, y, line, color=colour, markersize=5.5, label=label)

    def place(mark: Mark) -> tuple[float, float] | None:
        known = mark.measures
        return (known[along], known[up]) if {along, up} <= set(known) else None

    draw_marks(panel, named, place)
    panel.margins(ROOM)
    dress(panel, measure_title(along), measure_title(up))
    explain(figure, panel, 4)
    return figure
