"""The pictures of a fit, with words for who cannot see them."""

from collections.abc import Sequence
from pathlib import Path

from fea.analysis.build import build_stack
from fea.case.schema import Case
from fea.measurement.answer import FitAnswer
from fea.measurement.constant_answer import ConstantAnswer
from fea.measurement.next_measurement import Gain
from fea.measurement.overhang import with_overhang
from fea.measurement.station import BenchKey
from fea.report.fit_change_plot import change_figure
from fea.report.fit_constants_plot import constants_figure
from fea.report.fit_next import best_of_all
from fea.report.fit_reading import overhang_of
from fea.report.fit_readings_plot import readings_figure
from fea.report.fit_shares_plot import shares_change_figure
from fea.report.fit_sketch import sketch_figure
from fea.report.fit_tables import is_odd, telling, where_words
from fea.report.fit_words import gain_words, moved
from fea.report.image import Image, picture, plot
from fea.report.number import percent, rounded
from fea.report.palette import title_of

READINGS, SHARES = "fit_readings", "fit_shares"
CONSTANTS, CHANGE = "fit_constants", "fit_deflection"
SKETCH = "fit_next_{}"
MOST_SKETCHES = 3  # one for each question
NAMES = (
    READINGS,
    SHARES,
    CONSTANTS,
    CHANGE,
    *(SKETCH.format(number) for number in range(1, MOST_SKETCHES + 1)),
)


def fit_plots(
    answer: FitAnswer, constants: Sequence[ConstantAnswer], speed_rpm: float
) -> tuple[Image, ...]:
    """Draw readings, shares, constants and what changed."""
    return (
        _readings(answer),
        _shares(answer),
        _constants(answer, constants),
        _change(answer, speed_rpm),
    )


def fit_sketches(case: Case, answer: FitAnswer, cache: Path) -> tuple[Image, ...]:
    """Draw the set-up of the best measurement of each question.

    `cache` of reduced parts, which the stacks are built from.
    """
    best = best_of_all(answer.next)
    stacks = {
        key: build_stack(with_overhang(case, key[1]), key[0], cache)
        for key in {_stack_key(gain) for gain in best}
    }
    return tuple(
        picture(
            sketch_figure(case, stacks[_stack_key(gain)], gain),
            SKETCH.format(number),
            alt=f"Sketch of a set-up on the quick-change stack: {where_words(gain)}.",
            caption=f"Next, {number}: {where_words(gain)}. {gain_words(gain)}",
        )
        for number, gain in enumerate(best, 1)
    )


def _stack_key(gain: Gain) -> BenchKey:
    """Say on which stack a measurement is made, and with how far a tool."""
    return gain.seen.stack, overhang_of(gain.seen)


def _readings(answer: FitAnswer) -> Image:
    records = answer.records
    numbers = [each.residual for each in records if each.residual is not None]
    near = sum(abs(residual) <= 2.0 for residual in numbers)
    odd = [str(n) for n, each in enumerate(records, 1) if is_odd(each)]
    told = f"Not expected by it: {', '.join(odd)}." if odd else "None stands out."
    words = (
        f"Of {len(numbers)} numbers {near} lie within 2 standard deviations of what "
        f"the calibrated model gives. {told}"
    )
    return plot(
        readings_figure(records),
        READINGS,
        alt=f"A panel for each kind of record. {words}",
        caption=(
            "What was predicted, what the calibrated model gives, and what was "
            "measured; below each panel how far they are apart in standard deviations, "
            "or how likely it makes what was seen or heard. Above circles (quiet) the "
            "limit should begin deeper, at crosses (chatter) shallower. Brackets: "
            f"motion that the eye's grade stands for. {words}"
        ),
    )


def _shares(answer: FitAnswer) -> Image:
    words = " ".join(
        f"{title_of(stack).capitalize()}: "
        + ", ".join(
            f"{b.group} {percent(b.share.before[1])} before, "
            f"{percent(b.share.after[1])} after"
            for b in stack.blame
        )
        + "."
        for stack in (answer.quick_change, answer.four_way)
    )
    return plot(
        shares_change_figure(answer),
        SHARES,
        alt=f"Bars of shares before and after the fit. {words}",
        caption=(
            "Who gives how much of the tip's motion in the deepest cut, before and "
            "after the fit; groups in bold, dotted: half of the motion. Labels are the "
            f"middle after the fit. {words}"
        ),
    )


def _constants(answer: FitAnswer, constants: Sequence[ConstantAnswer]) -> Image:
    members = ", ".join(
        f"{each.name} × {rounded(float(each.after_um[1] / each.before_um[1]))}"
        for each in answer.known.members
    )
    return plot(
        constants_figure(answer, constants),
        CONSTANTS,
        alt=f"Bands over what was expected, before and after. {members}.",
        caption=(
            "How many times softer or stiffer the quick-change stack's members are "
            "than was expected, and the constants behind it: "
            f"the {len(telling(constants))} that the records say most of. The number "
            "at the right is the middle after the fit. A band that has not narrowed "
            "was not measured."
        ),
    )


def _change(answer: FitAnswer, speed_rpm: float) -> Image:
    words = " ".join(
        f"{title_of(stack).capitalize()}: stiffness from "
        f"{moved(stack.stiffness_n_per_um, ' N/µm')}, limit depth from "
        f"{moved(stack.limit_mm, ' mm')}."
        for stack in (answer.quick_change, answer.four_way)
    )
    return plot(
        change_figure(answer, speed_rpm),
        CHANGE,
        alt=f"Motion against depth, and limit depths, before and after. {words}",
        caption=(
            "Motion of the tip against depth of cut and the depths at which chatter "
            "begins, before (dashed, hatched) and after the fit (full line, blue). "
            f"Arrows: deeper than is shown, or never in what was tried. {words}"
        ),
    )
