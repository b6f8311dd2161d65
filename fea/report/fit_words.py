"""The verdict of a fit, in sentences."""

from fea.measurement.answer import Change, FitAnswer, blame_sentence
from fea.measurement.next_measurement import Gain
from fea.report.number import between, percent, rounded
from fea.report.record_words import record_words, setup_words

WORTH = 0.97
"""A measurement that leaves more of a question's spread than this is not worth it."""


def fit_verdict(answer: FitAnswer) -> tuple[str, ...]:
    """Return the verdict, the most wanted sentence first."""
    stack = answer.quick_change
    blame = blame_sentence(stack.blame, float(stack.depth_mm[-1]))
    stiffness = stack.stiffness_n_per_um
    return (
        f"{blame[0].upper()}{blame[1:]}.",
        f"Along the cutting force the stiffness on the quick-change post is "
        f"{told(stiffness.after)} N/µm; {told(stiffness.before)} was expected. That is "
        f"{told(answer.stiffness_ratio.after)} times the four-way block "
        f"({told(answer.stiffness_ratio.before)} was expected).",
        f"It begins to chatter at {told(stack.limit_mm.after)} mm depth of cut; "
        f"{told(stack.limit_mm.before)} mm was expected.",
        _doubt(answer),
        *answer.known.sentences,
        *next_sentences(answer.next),
    )


def told(band: object) -> str:
    """Write a middle with its band; an endless end is "more"."""
    low, middle, high = (_number(float(each)) for each in band)  # type: ignore[attr-defined]
    return f"{middle} ({low} to {high})"


def changed(change: Change) -> tuple[str, str]:
    """Write what was expected, and what it is now."""
    return told(change.before), told(change.after)


def next_sentences(gains: tuple[Gain, ...]) -> tuple[str, ...]:
    """Say which measurement tells most of each question, if any tells much."""
    best: dict[str, Gain] = {}
    for gain in gains:
        best.setdefault(gain.question, gain)
    return tuple(_next(gain) for gain in best.values())


def _next(gain: Gain) -> str:
    if gain.left > WORTH:
        return (
            f"No single measurement in reach tells much more of the {gain.question}: "
            f"the best leaves {percent(gain.left)} of its spread."
        )
    now, then = (between(*map(float, band)) for band in (gain.band_now, gain.band_then))
    return (
        f"To know the {gain.question} better, {setup_words(gain.seen)}: its band, "
        f"{now} now, is expected to narrow to {percent(gain.left)} of its width, "
        f"as from {then}."
    )


def _doubt(answer: FitAnswer) -> str:
    doubt = answer.refutation
    odd = "; ".join(f"{each.source} ({record_words(each)})" for each in doubt.odd)
    chance = percent(doubt.chance)
    if doubt.refuted:
        said = f"The records do not fit the model (chance {chance})"
        return f"{said}; the oddest: {odd}." if odd else f"{said}."
    if odd:
        return f"The model fits the records but for some that are odd: {odd}."
    return f"The records fit the model ({chance} of all such days would scatter more)."


def _number(value: float) -> str:
    if value == float("inf"):
        return "more than was tried"
    return rounded(value)
