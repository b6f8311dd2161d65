"""What cuts showed that were simulated in time, beside what the chart says of them."""

from dataclasses import dataclass

from geometry.pad import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Chattering:
    """What a cut above its limit settled to.

    Parameters
    ----------
    depth_mm : that was cut
    swing_um : peak to peak of the tip over the work, along the chip's thickness
    waves_um : peak to valley of the waves that stand on the finished work
    away : share of the time in which the tool is out of the cut but for a corner
    frequency_hz : of the vibration
    """

    depth_mm: float
    swing_um: float
    waves_um: float
    away: float
    frequency_hz: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedSpeed:
    """A stack at one spindle speed.

    Parameters
    ----------
    speed_rpm : of the spindle
    chart_mm, chart_hz : limit and its frequency by the chart; infinite and NaN where
        nothing up to the deepest depth tried chatters
    limit_mm : limit by simulation; infinite likewise; NaN if none was found near the
        chart's, or the cut is too slow or too stiff to be followed
    above : the cut above that limit; None where there is no limit
    """

    speed_rpm: float
    chart_mm: float
    chart_hz: float
    limit_mm: float
    above: Chattering | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Traces:
    """Motion of the tip along the chip's thickness, from where it stands in a calm cut.

    Parameters
    ----------
    step_s : between two values; the edge enters the full cut one step before the first
    below_um, above_um : (m,), (n,) of cuts below and above the limit
    below_mm, above_mm : their depths
    """

    step_s: float
    below_um: FloatArray
    above_um: FloatArray
    below_mm: float
    above_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedStack:
    """One stack.

    Parameters
    ----------
    name : "quick-change" or "four-way"
    speeds : the case's own first
    traces : at that speed; None where there is no limit
    deepest_mm : largest depth that was tried
    """

    name: str
    speeds: tuple[SimulatedSpeed, ...]
    traces: Traces | None
    deepest_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Simulated:
    """Both stacks."""

    quick_change: SimulatedStack
    four_way: SimulatedStack
