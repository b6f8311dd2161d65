"""What was found about chatter as numbers for other programs."""

from math import isfinite

from pydantic import Field

from fea.analysis.chatter_result import (
    Chatter,
    Mode,
    Regime,
    SpeedLimits,
    StackChatter,
)
from fea.analysis.result import ShareKind
from fea.report.chatter_simulation_summary import (
    SimulatedSummary,
    simulated_summary,
)
from fea.report.chatter_verdict import chatter_verdict
from fea.report.chatter_words import Limiter, chance, limiter
from fea.report.stack_summary import Record, Triple

LIMIT = "null if nothing up to deepest_mm chatters"


class ModeShare(Record):
    """Fraction of a mode's strain energy in one member."""

    kind: ShareKind
    name: str
    fraction: float


class ModeSummary(Record):
    """A natural mode about the deepest cut."""

    frequency_hz: float
    damping_ratio: float = Field(description="of critical")
    tip: Triple = Field(description="unit vector in which the tip moves")
    stiffness_n_per_um: float | None = Field(description="at the tip, along `tip`")
    mass_kg: float | None = Field(description="effective, at the tip, along `tip`")
    shares: tuple[ModeShare, ...] = Field(description="fractions sum to 1")


class LimitSummary(Record):
    """Largest stable depth at a speed."""

    speed_rpm: float
    limit_mm: float | None = Field(description=LIMIT)
    low_mm: float | None = Field(description=f"5 % of the samples; {LIMIT}")
    high_mm: float | None = Field(description=f"95 % of the samples; {LIMIT}")
    frequency_hz: float | None = Field(description="of the vibration at the limit")


class StackChatterSummary(Record):
    """One stack's answer about chatter."""

    chosen: LimitSummary = Field(description="at the speed of the case")
    regime: Regime = Field(description="of the case's largest depth at that speed")
    chance: float = Field(description="that the case's largest depth chatters there")
    limited_by: Limiter | None = Field(description="which side of the cut chatters")
    smallest_mm: float | None = Field(description=f"limit over all speeds; {LIMIT}")
    smallest_low_mm: float | None
    smallest_high_mm: float | None
    smallest_frequency_hz: float | None
    rigid_work_mm: float | None = Field(
        description="smallest_mm if bar, chuck and spindle were rigid"
    )
    rigid_stack_mm: float | None = Field(
        description="smallest_mm if all that holds the tool were rigid"
    )
    samples: int = Field(description="of the constants, for the bands")
    deepest_mm: float = Field(description="largest depth that was tried")
    limiting_mode: int = Field(description="place in modes, counted from 0")
    modes: tuple[ModeSummary, ...] = Field(description="lowest first")
    lathe: tuple[LimitSummary, ...] = Field(description="at the lathe's own speeds")


class AdviceSummary(Record):
    """What one change to the quick-change stack or its cut was computed to do."""

    change: str
    limit_mm: float | None = Field(description=f"at the speed of the case; {LIMIT}")
    smallest_mm: float | None = Field(description=f"over all speeds; {LIMIT}")
    gain: float | None = Field(description="of the limit, as a fraction of it")


class ChatterSummary(Record):
    """Chatter of both stacks."""

    verdict: str
    quantity: str = Field(description="what every limit is of")
    asked_mm: float = Field(description="the case's largest depth, or its tool's width")
    quick_change: StackChatterSummary
    four_way: StackChatterSummary
    advice: tuple[AdviceSummary, ...] = Field(description="best first")
    simulated: SimulatedSummary | None = Field(
        default=None, description="cuts followed through time, if that was asked for"
    )


def chatter_summary(chatter: Chatter, asked_mm: float) -> ChatterSummary:
    """Collect the numbers about chatter; `asked_mm` is the case's largest depth."""
    return ChatterSummary(
        verdict=chatter_verdict(chatter, asked_mm).text,
        quantity=chatter.quantity,
        asked_mm=asked_mm,
        quick_change=_stack(chatter.quick_change, asked_mm),
        four_way=_stack(chatter.four_way, asked_mm),
        advice=tuple(
            AdviceSummary(
                change=each.change,
                limit_mm=_known(each.limit_mm),
                smallest_mm=_known(each.smallest_mm),
                gain=_known(each.gain),
            )
            for each in chatter.advice
        ),
        simulated=None
        if chatter.simulated is None
        else simulated_summary(chatter.simulated),
    )


def _stack(stack: StackChatter, asked_mm: float) -> StackChatterSummary:
    low, high = stack.smallest_band_mm
    return StackChatterSummary(
        chosen=_limits(stack.chosen)[0],
        regime=stack.regime(asked_mm),
        chance=chance(stack, asked_mm),
        limited_by=limiter(stack),
        smallest_mm=_known(stack.smallest_mm),
        smallest_low_mm=_known(low),
        smallest_high_mm=_known(high),
        smallest_frequency_hz=_known(stack.smallest_frequency_hz),
        rigid_work_mm=_known(stack.rigid_work_mm),
        rigid_stack_mm=_known(stack.rigid_stack_mm),
        samples=stack.samples,
        deepest_mm=stack.deepest_mm,
        limiting_mode=stack.limiting_mode,
        modes=tuple(_mode(mode) for mode in stack.modes),
        lathe=_limits(stack.lathe),
    )


def _limits(limits: SpeedLimits) -> tuple[LimitSummary, ...]:
    columns = zip(
        limits.speed_rpm,
        limits.limit_mm,
        *limits.band_mm,
        limits.frequency_hz,
        strict=True,
    )
    return tuple(
        LimitSummary(
            speed_rpm=float(speed),
            limit_mm=_known(limit),
            low_mm=_known(low),
            high_mm=_known(high),
            frequency_hz=_known(frequency),
        )
        for speed, limit, low, high, frequency in columns
    )


def _mode(mode: Mode) -> ModeSummary:
    x, y, z = (float(part) for part in mode.tip)
    return ModeSummary(
        frequency_hz=mode.frequency_hz,
        damping_ratio=mode.damping_ratio,
        tip=(x, y, z),
        stiffness_n_per_um=_known(mode.stiffness_n_per_um),
        mass_kg=_known(mode.mass_kg),
        shares=tuple(
            ModeShare(kind=share.kind, name=share.name, fraction=share.fraction)
            for share in mode.shares
        ),
    )


def _known(value: float) -> float | None:
    return float(value) if isfinite(value) else None
