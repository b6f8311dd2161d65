"""The verdict on chatter in a few plain sentences."""

from dataclasses import dataclass
from math import isfinite, isinf, isnan

import numpy as np

from fea.analysis.chatter_result import Chatter, Regime, StackChatter
from fea.machining.fed import WIDTH
from fea.report.chatter_pitch import heard
from fea.report.chatter_words import (
    EVEN,
    Limiter,
    at_speeds,
    band_words,
    chance,
    limit_words,
    limiter,
    speed_words,
)
from fea.report.number import coarse, percent, setting
from fea.report.palette import title_of
from geometry.pad import FloatArray

WORTH_SAYING = 0.05
"""Gain from which the best advice stands in the verdict, too."""

CHATTERS = {
    Limiter.BAR: "the bar with its chuck and spindle",
    Limiter.TOOL: "the tool with what holds it",
    Limiter.BOTH: "the bar and the tool's side about equally",
}
BAR_FIRST = (
    "Let the bar stick out less or hold its end before changing anything at the post."
)
REGIMES = {
    Regime.SAFE: "is safe at any speed",
    Regime.SPEED_DEPENDENT: "holds at this speed, but not at every other one,",
    Regime.CHATTER: "chatters at this speed",
}
NO_GAIN = "no more than now"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChatterVerdict:
    """Sentences to read first; each may be empty if there is nothing to say.

    Parameters
    ----------
    limits : what holds at the chosen speed
    asked : what the deepest cut of the case does, and how sure that is
    cause : which side of the cut chatters
    worst : what holds at the lathe's other speeds
    sound : frequency and note of the vibration
    advice : the best one
    """

    limits: str
    asked: str
    cause: str
    worst: str
    sound: str
    advice: str

    @property
    def text(self) -> str:
        """All of it in one paragraph."""
        said = (
            self.limits,
            self.asked,
            self.cause,
            self.worst,
            self.sound,
            self.advice,
        )
        return " ".join(sentence for sentence in said if sentence)


def chatter_verdict(chatter: Chatter, asked_mm: float) -> ChatterVerdict:
    """Put what was found into words.

    Parameters
    ----------
    asked_mm : deepest cut of the case, or the width of its tool
    """
    return ChatterVerdict(
        limits=_limits(chatter),
        asked=_asked(chatter, asked_mm),
        cause=_cause(chatter),
        worst=_worst(chatter),
        sound=_sound(chatter),
        advice=_advice(chatter),
    )


def frequency_at(stack: StackChatter) -> float:
    """Frequency of the vibration at the chosen speed, else where least holds. [Hz]."""
    chosen = float(stack.chosen.frequency_hz[0])
    return chosen if isfinite(chosen) else stack.smallest_frequency_hz


def _stacks(chatter: Chatter) -> tuple[StackChatter, StackChatter]:
    return chatter.quick_change, chatter.four_way


def _limits(chatter: Chatter) -> str:
    speed = speed_words(float(chatter.quick_change.chosen.speed_rpm[0]))
    new, old = _stacks(chatter)
    if isnan(_limit(new)) or isnan(_limit(old)):
        second = _holds(old, "")
    else:
        second = f"the {title_of(old)} {_held(old)}"
    return f"At {speed} rev/min {_holds(new, f' {chatter.quantity}')}, {second}."


def _limit(stack: StackChatter) -> float:
    return float(stack.chosen.limit_mm[0])


def _holds(stack: StackChatter, quantity: str) -> str:
    if isnan(_limit(stack)):
        return f"no limit was found for the {title_of(stack)}"
    return f"the {title_of(stack)} should hold {_held(stack, quantity)}"


def _held(stack: StackChatter, quantity: str = "") -> str:
    return _depth(_limit(stack), stack.chosen.band_mm[:, 0], stack, quantity)


def _depth(
    limit_mm: float, band_mm: FloatArray, stack: StackChatter, quantity: str = ""
) -> str:
    limit = limit_words(limit_mm, stack.deepest_mm)
    return f"{limit} mm{quantity}{_bracket(band_mm, stack)}"


def _bracket(band_mm: FloatArray, stack: StackChatter) -> str:
    band = band_words(band_mm, stack.deepest_mm)
    return f" {band}" if band else ""


def _asked(chatter: Chatter, asked_mm: float) -> str:
    """Tell what most likely happens, and how likely chatter is all the same."""
    stacks = _known(chatter)
    if not stacks:
        return ""
    said = _alike([(REGIMES[stack.regime(asked_mm)], stack) for stack in stacks])
    # A plunging tool has one width; of depths the case has many.
    which = "" if chatter.quantity == WIDTH else "largest "
    chances = _alike([(percent(chance(stack, asked_mm)), stack) for stack in stacks])
    return (
        f"With the most likely joints, damping and cutting force the case's {which}"
        f"{chatter.quantity}, {setting(asked_mm)} mm, {said}; over all that these may "
        f"be, the chance that it chatters at this speed is {chances}."
    )


def _known(chatter: Chatter) -> list[StackChatter]:
    return [stack for stack in _stacks(chatter) if not isnan(_limit(stack))]


def _alike(pairs: list[tuple[str, StackChatter]]) -> str:
    """Join what is said of each stack, once if it is the same of both."""
    if len({said for said, _ in pairs}) == 1 and len(pairs) > 1:
        return f"{pairs[0][0]} with either stack"
    return " and ".join(f"{said} with the {title_of(stack)}" for said, stack in pairs)


def _worst(chatter: Chatter) -> str:
    """Tell whether the lathe has speeds that hold less than the chosen one."""
    said = _alike([(_worst_speed(stack), stack) for stack in _known(chatter)])
    return f"{said[:1].upper()}{said[1:]}." if said else ""


def _worst_speed(stack: StackChatter) -> str:
    limits = at_speeds(stack)
    at = int(np.nanargmin(limits.limit_mm))
    limit = float(limits.limit_mm[at])
    if limit == _limit(stack):
        return "no speed of the lathe is worse"
    held = _depth(limit, limits.band_mm[:, at], stack)
    speed = speed_words(float(limits.speed_rpm[at]))
    return f"at the lathe's worst speed, {speed} rev/min, {held} should hold"


def _cause(chatter: Chatter) -> str:
    found = [(stack, side) for stack in _stacks(chatter) if (side := limiter(stack))]
    sides = dict.fromkeys(side for _, side in found)
    sentences = [
        _blame([stack for stack, its in found if its is side], side) for side in sides
    ]
    if limiter(chatter.quick_change) is Limiter.BAR:
        sentences.append(BAR_FIRST)
    return " ".join(sentences)


def _blame(stacks: list[StackChatter], side: Limiter) -> str:
    """Say which side chatters, and what would hold if either were rigid."""
    whose = "either stack" if len(stacks) > 1 else f"the {title_of(stacks[0])}"
    bar = _rigid([(stack.rigid_work_mm, stack) for stack in stacks])
    tool = _rigid([(stack.rigid_stack_mm, stack) for stack in stacks])
    return (
        f"With {whose} it is {CHATTERS[side]} that chatters: were the tool and all "
        f"that holds it rigid, {tool} would hold at any speed; were the bar, chuck and "
        f"spindle rigid, {bar}."
    )


def _rigid(limits: list[tuple[float, StackChatter]]) -> str:
    """Depths that would hold, each named once."""
    said = [
        f"{limit_words(limit, stack.deepest_mm)} mm"
        if limit > (1.0 + EVEN) * stack.smallest_mm
        else NO_GAIN
        for limit, stack in limits
    ]
    return " and ".join(dict.fromkeys(said))


def _sound(chatter: Chatter) -> str:
    said = [
        f"{heard(frequency)}, with the {title_of(stack)}"
        for stack in _stacks(chatter)
        for frequency in [frequency_at(stack)]
        if isfinite(frequency)
    ]
    return f"Chatter would sing at {' and at '.join(said)}." if said else ""


def _advice(chatter: Chatter) -> str:
    best = next(iter(chatter.advice), None)
    if best is None or not best.gain > WORTH_SAYING:
        return ""
    if isinf(best.limit_mm):
        deepest = setting(chatter.quick_change.deepest_mm)
        return (
            f"What helps most: {best.change}; then nothing up to {deepest} mm chatters."
        )
    gain = f"{percent(best.gain)} more" if isfinite(best.gain) else "more"
    return (
        f"What helps most: {best.change}; then {coarse(best.limit_mm)} mm should hold, "
        f"{gain}."
    )
