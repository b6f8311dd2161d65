"""Which pictures a study gives: a map or lines, the front, bars of what matters."""

from collections.abc import Iterator, Mapping, Sequence
from math import isfinite

from fea.case.study_measure import LIMIT_DEPTH, MEASURES, RATIO_TO_BLOCK
from fea.case.study_section import Study
from fea.report.image import Image, plot
from fea.report.study_axes import Mark
from fea.report.study_bars import bars_figure
from fea.report.study_front import front_figure
from fea.report.study_lines import lines_figure
from fea.report.study_map import grid_of, map_figure
from fea.report.study_words import listed
from fea.study.answer import Answer, value_of
from fea.study.axis import Axis, axis_of
from fea.study.designs import is_grid
from fea.study.run import Finished
from fea.study.sensitivity import Sensitivity

MAP, FRONT, BARS = "study_map", "study_front", "study_sensitivity"
PICTURES = tuple(f"{name}.png" for name in (MAP, FRONT, BARS))
PANELS = 2
"""Measures that one picture shows at most."""


def study_images(
    study: Study,
    finished: Sequence[Finished],
    answer: Answer,
    named: Sequence[Mark],
    found: Mapping[str, Sequence[Sensitivity]],
) -> Iterator[Image]:
    """Draw what a study gives.

    Parameters
    ----------
    found : how much every variable matters, by the name of the measure
    """
    shown = mapped(study, finished)
    axes = [axis_of(variable) for variable in study.variables]
    real = [axis for axis in axes if axis is not None]
    if is_grid(study) and real and shown:
        yield _over_variables(study, finished, real, shown, named)
    if len(study.aims) > 1 and shown:
        yield _front(study, finished, answer, named)
    first = study.aims[0].measure
    if first in found:
        noun = MEASURES[first].noun
        yield plot(
            bars_figure(found[first], noun),
            BARS,
            f"How much each variable moves {noun}",
            "Left: per cent of it for one per cent more of the variable, about the "
            "recommended design; where a per cent of the variable has no meaning, for "
            "one unit more. Right: how much of its variance over the studied ranges "
            "each variable explains, alone and together with others.",
        )


def mapped(study: Study, finished: Sequence[Finished]) -> tuple[str, ...]:
    """Return the measures that are drawn over the variables: those that are known."""
    wanted = (
        study.aims[0].measure,
        RATIO_TO_BLOCK,
        LIMIT_DEPTH,
        study.aims[-1].measure,
    )
    known = (
        name
        for name in dict.fromkeys(wanted)
        if any(isfinite(value_of(each, name)) for each in finished)
    )
    return tuple(known)[:PANELS]


def _over_variables(
    study: Study,
    finished: Sequence[Finished],
    axes: Sequence[Axis],
    shown: Sequence[str],
    named: Sequence[Mark],
) -> Image:
    """Contours over two numbers; lines along one, or where one is a choice."""
    nouns = listed(MEASURES[name].noun for name in shown)
    over = listed(axis.key for axis in axes)
    alt = f"{nouns[0].upper()}{nouns[1:]} over {over}"
    numbers = [axis for axis in axes if not axis.names]
    if len(numbers) == 2:
        grid = grid_of(study, finished, (numbers[0], numbers[1]))
        return plot(
            map_figure(study, grid, shown, named),
            MAP,
            alt,
            "Each dot is a design, contours run between them. What is hatched breaks a "
            "limit or cannot be made; study.csv has the reason of each design.",
        )
    along, *rest = sorted(axes, key=lambda axis: bool(axis.names))
    lines = rest[0] if rest else None
    return plot(
        lines_figure(study, finished, (along, lines), shown, named),
        MAP,
        alt,
        "Each point is a design. What is crossed out breaks a limit; study.csv has the "
        "reason of each design.",
    )


def _front(
    study: Study, finished: Sequence[Finished], answer: Answer, named: Sequence[Mark]
) -> Image:
    first, second = (MEASURES[aim.measure].noun for aim in study.aims)
    return plot(
        front_figure(study, finished, answer, named),
        FRONT,
        f"{first[0].upper()}{first[1:]} against {second}, design by design",
        "Each point is a design that was computed. On the line lie those that no other "
        "within the limits beats in both aims.",
    )
