"""What a fit says in plain sentences."""

from dataclasses import dataclass
from math import isfinite

from fea.analysis.member import Group
from fea.measurement.answer import Blame, Change, FitAnswer, StackCalibration
from fea.measurement.fit_records import BLAMED, LIMIT, RATIO
from fea.measurement.next_measurement import Gain
from fea.measurement.observation import UNITS, Kind
from fea.report.fit_next import WORTH, best
from fea.report.fit_reading import setup_words
from fea.report.number import between, coarse, percent, rounded, setting
from fea.report.palette import title_of
from fea.report.verdict import IN_WORDS
from geometry.pad import FloatArray

LIKELY = 0.5
"""Chance from which on a group is named as the one to blame."""
NEVER = "no chatter"
"""In the depths that were tried."""
BELOW = {Group.SLIDES: " (below the tool post)"}
UNIT_OF = {BLAMED: " %", RATIO: "", LIMIT: " mm"}
SCALE_OF = {BLAMED: 100.0, RATIO: 1.0, LIMIT: 1.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class FitVerdict:
    """Sentences to read first.

    Parameters
    ----------
    blame : who gives most, with its probability
    rest : how likely it is of the others
    changes : what the fit changed of the prediction
    doubt : whether the records refute the model
    known : what the records tell and what they cannot tell apart
    next : what to measure next
    """

    blame: str
    rest: str
    changes: tuple[str, ...]
    doubt: str
    known: tuple[str, ...]
    next: str


def fit_verdict(answer: FitAnswer, speed_rpm: float) -> FitVerdict:
    """Put an answer into words; `speed_rpm` is that of the case's limits."""
    stack = answer.quick_change
    return FitVerdict(
        blame=blame_words(stack),
        rest=_rest(stack),
        changes=(
            _stiffness(answer),
            *(_limit(each, speed_rpm) for each in (stack, answer.four_way)),
        ),
        doubt=doubt_words(answer),
        known=answer.known.sentences,
        next=_next(answer),
    )


def blame_words(stack: StackCalibration) -> str:
    """Say who is to blame, with what probability."""
    worst = max(stack.blame, key=lambda each: each.chance_after)
    depth = setting(float(stack.depth_mm[-1]))
    if worst.chance_after < LIKELY:
        largest = max(stack.blame, key=lambda each: float(each.share.after[1]))
        return (
            f"Nobody is to blame alone: at {depth} mm depth of cut with the "
            f"{title_of(stack)} {IN_WORDS[largest.group]} give most of the motion, "
            f"{_share(largest)}, and it is {chance(worst.chance_after)} likely at most "
            "that one of them gives more than half."
        )
    return (
        f"It is {chance(worst.chance_after)} likely that more than half of the "
        f"tip's motion at {depth} mm depth of cut with the {title_of(stack)} comes "
        f"from {IN_WORDS[worst.group]}{BELOW.get(worst.group, '')}; before measuring "
        f"it was {chance(worst.chance_before)}."
    )


def chance(value: float) -> str:
    """Write a probability; sets in hundreds know no better than a per cent."""
    if value > 0.99:
        return "more than 99 %"
    if value < 0.01:
        return "less than 1 %"
    return percent(value)


def _share(blame: Blame) -> str:
    low, middle, high = blame.share.after
    return f"{percent(middle)} ({percents(low, high)})"


def percents(low: float, high: float) -> str:
    """Write a band of fractions."""
    return f"{100.0 * low:.0f} to {percent(high)}"


def _rest(stack: StackCalibration) -> str:
    parts = ", ".join(f"{IN_WORDS[each.group]} {_share(each)}" for each in stack.blame)
    return f"Shares of the motion after the fit, with 5 to 95 %: {parts}."


def _stiffness(answer: FitAnswer) -> str:
    stack = answer.quick_change
    own = moved(stack.stiffness_n_per_um, " N/µm")
    ratio = moved(answer.stiffness_ratio, "")
    return (
        f"The fit takes the stiffness of the {title_of(stack)} along the cutting force "
        f"from {own}, and its ratio to that of the {title_of(answer.four_way)} from "
        f"{ratio}."
    )


def _limit(stack: StackCalibration, speed_rpm: float) -> str:
    return (
        f"The depth at which the {title_of(stack)} begins to chatter at "
        f"{setting(speed_rpm)} rev/min goes from {moved(stack.limit_mm, ' mm')}."
    )


def moved(change: Change, unit: str) -> str:
    """Write before and after, each with its band."""
    return f"{with_band(change.before, unit)} to {with_band(change.after, unit)}"


def with_band(band: FloatArray, unit: str, scale: float = 1.0) -> str:
    """Write a middle with its band; ends may be infinite."""
    low, middle, high = (scale * float(each) for each in band)
    if not isfinite(middle):
        return f"{NEVER} (5 %: {coarse(low)}{unit})" if isfinite(low) else NEVER
    if not isfinite(high):
        return f"{rounded(middle)}{unit} ({coarse(low)} to {NEVER})"
    # What is known well needs a digit more, or both ends would read the same.
    write = rounded if coarse(low) == coarse(high) else coarse
    return f"{rounded(middle)}{unit} ({write(low)} to {write(high)})"


def doubt_words(answer: FitAnswer) -> str:
    """Say whether the records refute the model itself."""
    doubt = answer.refutation
    odd = "; ".join(dict.fromkeys(str(each.source) for each in doubt.odd))
    few = f" Look again at {odd}: the fitted model does not expect that." if odd else ""
    if doubt.refuted:
        return (
            "The records refute the model, whatever its constants: readings that "
            "scatter so about the fit have a chance of "
            f"{chance(doubt.chance_without)}. Something gives that the model does not "
            f"have, or readings are worse than was written down.{few}"
        )
    return (
        "The records do not refute the model: if it is right, readings scatter about "
        f"the fit as much as these or more in {chance(doubt.chance_without)} of all "
        f"test days.{few}"
    )


def _next(answer: FitAnswer) -> str:
    """Name the measurement that helps most with who is to blame."""
    gains = best(answer.next, BLAMED)
    if not gains:
        return "No measurement within reach would tell more about who is to blame."
    first = gains[0]
    on = f"on the {first.seen.stack} stack"
    if first.left > WORTH:
        return (
            "No single measurement within reach would tell much more about who is to "
            f"blame; most would this, {on}: {setup_words(first.seen)}. "
            f"{gain_words(first)}"
        )
    return f"Measure next, {on}: {setup_words(first.seen)}. {gain_words(first)}"


def gain_words(gain: Gain) -> str:
    """Say what a measurement is expected to tell, in numbers."""
    now, then = answer_bands(gain)
    return (
        f"Expected is {expected_words(gain)}, and that it narrows the {gain.question} "
        f"from {now} to about {then}, {percent(gain.left)} of the width."
    )


def expected_words(gain: Gain) -> str:
    """Say what is expected to be read, or where chatter begins."""
    low, _, high = gain.expected
    reading = f"{between(float(low), float(high))} {UNITS[gain.seen.kind]}".strip()
    is_heard = gain.seen.kind is Kind.CHATTER
    return f"chatter from {reading} on" if is_heard else f"a reading of {reading}"


def answer_bands(gain: Gain) -> tuple[str, str]:
    """Write the answer's band now and then, with a digit to see small gains by."""
    unit, scale = UNIT_OF[gain.question], SCALE_OF[gain.question]
    now, then = (
        f"{rounded(scale * low)} to {rounded(scale * high)}{unit}"
        for low, high in (gain.band_now.tolist(), gain.band_then.tolist())
    )
    return now, then
