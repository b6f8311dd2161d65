"""Chart and map of chatter with their captions and their words for the blind."""

from math import isfinite

from fea.analysis.chatter_result import Chatter, StackChatter
from fea.report.chatter_chart import limits_figure
from fea.report.chatter_map import map_figure
from fea.report.chatter_words import speed_words, with_band
from fea.report.image import Image, plot
from fea.report.number import counted, setting
from fea.report.palette import title_of


def chatter_plots(chatter: Chatter, asked_mm: float) -> tuple[Image, ...]:
    """Draw limits over speed, and how likely chatter is.

    Parameters
    ----------
    asked_mm : deepest cut of the case, or the width of its tool
    """
    return (_chart(chatter, asked_mm), _map(chatter, asked_mm))


def _chart(chatter: Chatter, asked_mm: float) -> Image:
    stacks = (chatter.quick_change, chatter.four_way)
    speed = speed_words(float(chatter.quick_change.chosen.speed_rpm[0]))
    numbers = " ".join(_numbers(stack) for stack in stacks)
    return plot(
        limits_figure(chatter, asked_mm),
        "chatter_limits",
        alt=(
            f"Largest {chatter.quantity} without chatter against spindle speed, a "
            "panel for each stack and one with both at the lathe's own speeds. At "
            f"{speed} rev/min: {numbers}"
        ),
        caption=(
            f"How large the {chatter.quantity} may be before it chatters. Points are "
            "the lathe's own speeds. Below the lowest limit (dash and dot) no speed "
            "chatters. Between it and the curve it depends on the speed: a cut that "
            "sings may be quiet at the next step of the gears. Above the curve it "
            "chatters. Slow speeds hold more since the flank of the tool rubs on the "
            "waves. Within 5 to 95 % is what joints, damping and cutting force may be; "
            "where the bands are wide, the peaks of the curve are not to be relied on."
        ),
    )


def _numbers(stack: StackChatter) -> str:
    chosen = stack.chosen
    limit = with_band(float(chosen.limit_mm[0]), chosen.band_mm[:, 0], stack.deepest_mm)
    least = with_band(stack.smallest_mm, stack.smallest_band_mm, stack.deepest_mm)
    rings = float(chosen.frequency_hz[0])
    sound = f" at {rings:.0f} Hz" if isfinite(rings) else ""
    return f"{title_of(stack)} {limit} mm{sound}, over all speeds {least} mm."


def _map(chatter: Chatter, asked_mm: float) -> Image:
    stacks = (chatter.quick_change, chatter.four_way)
    samples = counted(min(stack.samples for stack in stacks))
    numbers = " ".join(_numbers(stack) for stack in stacks)
    return plot(
        map_figure(chatter, asked_mm),
        "chatter_chance",
        alt=(
            f"Two maps of the chance of chatter, {chatter.quantity} over spindle "
            "speed, with lines where 5, 50 and 95 % are reached. The case is at "
            f"{setting(asked_mm)} mm. Limits at its speed: {numbers}"
        ),
        caption=(
            f"How likely it chatters: of {samples} sets of what joints, damping and "
            f"cutting force may be, the fraction with which that {chatter.quantity} "
            "chatters at that speed. Below 5 % a quiet cut is a safe bet, above 95 % a "
            "singing one. The chance is about what is not known of the machine: at one "
            "setting it does either the one or the other."
        ),
    )
