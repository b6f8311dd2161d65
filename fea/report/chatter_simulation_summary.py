"""The cuts that were followed through time as numbers for other programs."""

from math import isfinite

from pydantic import Field

from fea.analysis.simulation_result import Chattering, Simulated, SimulatedStack
from fea.report.stack_summary import Record

NO_LIMIT = "null if nothing up to the largest depth tried chatters"


class ChatteringSummary(Record):
    """What a cut above its limit settled to."""

    depth_mm: float = Field(description="that was cut")
    swing_um: float = Field(description="of the tip along the chip, peak to peak")
    waves_um: float = Field(description="on the finished work, valley to peak")
    out_of_cut: float = Field(description="share of the time")
    frequency_hz: float | None


class SimulatedSpeedSummary(Record):
    """A stack at one spindle speed."""

    speed_rpm: float
    chart_mm: float | None = Field(description=f"limit by the chart; {NO_LIMIT}")
    chart_hz: float | None = Field(description="frequency there")
    limit_mm: float | None = Field(
        description=f"by simulation; {NO_LIMIT} or it was not found"
    )
    difference: float | None = Field(description="limit_mm over chart_mm, less 1")
    above: ChatteringSummary | None = Field(description="the cut above limit_mm")


class SimulatedSummary(Record):
    """Both stacks; the speed of the case first."""

    quick_change: tuple[SimulatedSpeedSummary, ...]
    four_way: tuple[SimulatedSpeedSummary, ...]


def simulated_summary(simulated: Simulated) -> SimulatedSummary:
    """Collect the numbers of simulated cuts."""
    return SimulatedSummary(
        quick_change=_stack(simulated.quick_change),
        four_way=_stack(simulated.four_way),
    )


def _stack(stack: SimulatedStack) -> tuple[SimulatedSpeedSummary, ...]:
    return tuple(
        SimulatedSpeedSummary(
            speed_rpm=each.speed_rpm,
            chart_mm=_known(each.chart_mm),
            chart_hz=_known(each.chart_hz),
            limit_mm=_known(each.limit_mm),
            difference=_known(each.limit_mm / each.chart_mm - 1.0)
            if isfinite(each.chart_mm)
            else None,
            above=None if each.above is None else _above(each.above),
        )
        for each in stack.speeds
    )


def _above(above: Chattering) -> ChatteringSummary:
    return ChatteringSummary(
        depth_mm=above.depth_mm,
        swing_um=above.swing_um,
        waves_um=above.waves_um,
        out_of_cut=above.away,
        frequency_hz=_known(above.frequency_hz),
    )


def _known(value: float) -> float | None:
    return float(value) if isfinite(value) else None
