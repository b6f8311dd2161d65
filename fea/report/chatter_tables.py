"""Tables of modes, of limits at the lathe's speeds, and of advice."""

from math import isfinite

import numpy as np

from fea.analysis.chatter_result import Advice, Chatter, Mode, StackChatter
from fea.report.chatter_pitch import note_of
from fea.report.chatter_words import (
    at_speeds,
    frequency_words,
    limit_words,
    main_members,
    motion_words,
    speed_words,
    with_band,
)
from fea.report.number import MINUS, rounded
from fea.report.palette import title_of
from fea.report.table import NOT_THERE, Table

MODES_SHOWN = 12
"""The lowest: what rings higher is stiff at the tip and seldom limits anything."""


def chatter_tables(chatter: Chatter) -> tuple[Table, ...]:
    """All numbers about chatter, the most useful first."""
    stacks = (chatter.quick_change, chatter.four_way)
    return (
        limits_table(chatter),
        advice_table(chatter),
        *(modes_table(stack) for stack in stacks),
    )


def limits_table(chatter: Chatter) -> Table:
    """Limit and frequency at every speed of the lathe."""
    stacks = (chatter.quick_change, chatter.four_way)
    speeds = at_speeds(chatter.quick_change).speed_rpm
    columns = [column for stack in stacks for column in _limit_columns(stack)]
    chosen = np.isin(speeds, chatter.quick_change.chosen.speed_rpm)
    least = "; ".join(
        f"{with_band(s.smallest_mm, s.smallest_band_mm, s.deepest_mm)} mm with the "
        f"{title_of(s)}"
        for s in stacks
    )
    return Table(
        caption=f"Largest {chatter.quantity} without chatter at the lathe's speeds",
        meaning=(
            "In brackets: 5 to 95 % of what joints, damping and cutting force may be. "
            "The frequency is that of the vibration when a little more is cut. The "
            "speed of the case is marked. What holds at any speed, even without the "
            f"help that slow ones give: {least}."
        ),
        head=(
            "speed (rev/min)",
            *(f"{title_of(s)} {w}" for s in stacks for w in ("(mm)", "(Hz)")),
        ),
        rows=tuple(zip(map(speed_words, speeds), *columns, strict=True)),
        marked=tuple(int(i) for i in np.flatnonzero(chosen)),
    )


def _limit_columns(stack: StackChatter) -> tuple[list[str], list[str]]:
    """Limits with their bands, and frequencies."""
    limits = at_speeds(stack)
    pairs = zip(limits.limit_mm.tolist(), limits.band_mm.T, strict=True)
    return (
        [with_band(limit, band, stack.deepest_mm) for limit, band in pairs],
        [frequency_words(each) for each in limits.frequency_hz.tolist()],
    )


def advice_table(chatter: Chatter) -> Table:
    """Effect of each change as it was computed, best first."""
    stack = chatter.quick_change
    speed = speed_words(float(stack.chosen.speed_rpm[0]))
    rows = [_advice(each, stack.deepest_mm) for each in chatter.advice]
    now = float(stack.chosen.limit_mm[0])
    return Table(
        caption=f"What would raise the limit with the {title_of(stack)}",
        meaning=(
            "Each change alone, computed with the stack as it is otherwise: now "
            f"{limit_words(now, stack.deepest_mm)} mm at {speed} rev/min and "
            f"{limit_words(stack.smallest_mm, stack.deepest_mm)} mm at any speed. The "
            "gain is that at this speed; a change of speed gains at the new one."
        ),
        head=(
            "change",
            f"{chatter.quantity} at the speed of the case (mm)",
            "at any speed (mm)",
            "gain",
        ),
        rows=tuple(rows),
    )


def modes_table(stack: StackChatter) -> Table:
    """Lowest natural modes; the one that limits the depth is marked."""
    shown = stack.modes[: max(MODES_SHOWN, stack.limiting_mode + 1)]
    return Table(
        caption=f"Natural modes of the stack with the {title_of(stack)}",
        meaning=(
            "How the stack rings when the tip is tapped, and what one would hear. "
            "Damping is in per cent of critical; stiffness and mass are those that "
            "the tip feels along the way in which it moves (there and back). The "
            "shares are of the energy that bends and squeezes. Marked is the mode that "
            "limits the depth: soft, little damped, and moving in and out of the work. "
            "Higher modes, if there are more, stand in summary.json."
        ),
        head=(
            "mode",
            "frequency (Hz)",
            "note",
            "damping (%)",
            "stiffness (N/µm)",
            "mass (kg)",
            "the tip moves",
            "most of it in",
        ),
        rows=tuple(_mode(n, mode) for n, mode in enumerate(shown, start=1)),
        marked=(stack.limiting_mode,),
    )


def _mode(number: int, mode: Mode) -> tuple[str, ...]:
    return (
        str(number),
        rounded(mode.frequency_hz),
        note_of(mode.frequency_hz),
        rounded(100.0 * mode.damping_ratio),
        _finite(mode.stiffness_n_per_um),
        _finite(mode.mass_kg),
        motion_words(mode.tip),
        main_members(mode),
    )


def _finite(value: float) -> str:
    """Write a number, or a dash: a tip that rests feels no stiffness."""
    return rounded(value) if isfinite(value) else NOT_THERE


def _advice(advice: Advice, deepest_mm: float) -> tuple[str, ...]:
    return (
        advice.change,
        limit_words(advice.limit_mm, deepest_mm),
        limit_words(advice.smallest_mm, deepest_mm),
        gain_words(advice.gain),
    )


def gain_words(gain: float) -> str:
    """Write a gain with its sign; a dash if there was no limit to begin with."""
    if not isfinite(gain):
        return NOT_THERE
    size = f"{abs(100.0 * gain):.0f}"
    if size == "0":
        return "0 %"
    return f"{'+' if gain > 0.0 else MINUS}{size} %"
