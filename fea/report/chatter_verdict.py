"""The verdict on chatter in a few plain sentences."""

from dataclasses import dataclass
from math import isfinite, isinf, isnan

from fea.analysis.chatter_result import Chatter, Regime, StackChatter
from fea.report.chatter_pitch import heard
from fea.report.chatter_words import (
    Limiter,
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
    Regime.SAFE: "should be safe at any speed",
    Regime.SPEED_DEPENDENT: "should hold at this speed, but not at every other one,",
    Regime.CHATTER: "should chatter at this speed",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChatterVerdict:
    """Sentences to read first; each may be empty if there is nothing to say.

    Parameters
    ----------
    limits : what holds at the chosen speed
    asked : what the deepest cut of the case does
    sound : frequency and note of the vibration
    safe : depth below which no speed chatters
    cause : which side of the cut chatters
    advice : the best one
    """

    limits: str
    asked: str
    sound: str
    safe: str
    cause: str
    advice: str

    @property
    def text(self) -> str:
        """All of it in one paragraph."""
        said = (
            self.limits,
            self.asked,
            self.sound,
            self.safe,
            self.cause,
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
        sound=_sound(chatter),
        safe=_safe(chatter),
        cause=_cause(chatter),
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
    of = f" {chatter.quantity}"
    if isfinite(_limit(new)) and isfinite(_limit(old)):
        second = f"the {title_of(old)} {_held(old)}"
    else:
        second = _holds(old, "")
    return f"At {speed} rev/min {_holds(new, of)}, {second}."


def _limit(stack: StackChatter) -> float:
    return float(stack.chosen.limit_mm[0])


def _holds(stack: StackChatter, quantity: str) -> str:
    limit, title = _limit(stack), title_of(stack)
    if isnan(limit):
        return f"no limit was found for the {title}"
    if isinf(limit):
        band = _bracket(stack.chosen.band_mm[:, 0], stack)
        deepest = setting(stack.deepest_mm)
        what = f"no{quantity}" if quantity else "nothing"
        return f"with the {title} {what} up to {deepest} mm should chatter{band}"
    return f"the {title} should hold {_held(stack, quantity)}"


def _held(stack: StackChatter, quantity: str = "") -> str:
    band = _bracket(stack.chosen.band_mm[:, 0], stack)
    return f"{coarse(_limit(stack))} mm{quantity}{band}"


def _bracket(band_mm: FloatArray, stack: StackChatter) -> str:
    band = band_words(band_mm, stack.deepest_mm)
    return f" {band}" if band else ""


def _asked(chatter: Chatter, asked_mm: float) -> str:
    stacks = [stack for stack in _stacks(chatter) if not isnan(_limit(stack))]
    said = _alike(
        [
            (REGIMES[stack.regime(asked_mm)], f"with the {title_of(stack)}")
            for stack in stacks
        ],
        "with either stack",
    )
    if not said:
        return ""
    depth = setting(asked_mm)
    chances = " and ".join(percent(chance(stack, asked_mm)) for stack in stacks)
    return (
        f"The largest {chatter.quantity} of the case, {depth} mm, {said}; the chance "
        f"that it chatters at this speed is {chances}."
    )


def _alike(pairs: list[tuple[str, str]], both: str) -> str:
    """Join what is said of each stack, once if it is the same of both."""
    if len({said for said, _ in pairs}) == 1 and len(pairs) > 1:
        return f"{pairs[0][0]} {both}"
    return " and ".join(f"{said} {whose}" for said, whose in pairs)


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
    """Say which side chatters, and how the safe depth grows if either were rigid."""
    whose = "either stack" if len(stacks) > 1 else f"the {title_of(stacks[0])}"
    bar, tool = (
        " and ".join(
            f"{limit_words(limit, stack.deepest_mm)} mm"
            for stack, limit in zip(stacks, limits, strict=True)
        )
        for limits in zip(
            *((s.rigid_work_mm, s.rigid_stack_mm) for s in stacks), strict=True
        )
    )
    return (
        f"With {whose} it is {CHATTERS[side]} that chatters: a rigid bar with chuck "
        f"and spindle would make that {bar}, a rigid tool with all that holds it "
        f"{tool}."
    )


def _sound(chatter: Chatter) -> str:
    said = [
        f"{heard(frequency)}, with the {title_of(stack)}"
        for stack in _stacks(chatter)
        for frequency in [frequency_at(stack)]
        if isfinite(frequency)
    ]
    return f"Chatter would sing at {' and at '.join(said)}." if said else ""


def _safe(chatter: Chatter) -> str:
    said = []
    for stack in _stacks(chatter):
        title, least = title_of(stack), stack.smallest_mm
        band = _bracket(stack.smallest_band_mm, stack)
        if isinf(least):
            all_tried = f"all that was tried, up to {setting(stack.deepest_mm)} mm"
            said.append(f"{all_tried}{band}, with the {title}")
        elif not isnan(least):
            said.append(f"up to {coarse(least)} mm{band} with the {title}")
    return f"Safe at any speed: {', '.join(said)}." if said else ""


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
