"""Table of the cuts that were followed through time."""

from math import isfinite

from fea.analysis.simulation_result import Simulated, SimulatedSpeed, SimulatedStack
from fea.report.chatter_tables import gain_words
from fea.report.chatter_words import frequency_words, limit_words, speed_words
from fea.report.number import coarse, percent, rounded
from fea.report.palette import STACK_STYLES
from fea.report.table import NOT_THERE, Table


def simulation_table(simulated: Simulated, quantity: str) -> Table:
    """Limit in time beside that of the chart, and what a cut above it does.

    Parameters
    ----------
    quantity : what a limit is of
    """
    stacks = (simulated.quick_change, simulated.four_way)
    return Table(
        caption=f"Largest {quantity} without chatter, by simulation and by the chart",
        meaning=(
            "The simulation knows the curve of the force law and the tool that leaves "
            "the cut; it should begin to chatter where the chart says. What follows is "
            "of a cut above the simulated limit, once it has settled: how far the tip "
            "swings along the chip's thickness, how high the waves on the finished "
            "work are from valley to peak, how long the tool is out of the cut, and "
            "the frequency beside that of the chart. A dash stands where nothing "
            "chatters, or where the cut is too slow or too stiff to be followed."
        ),
        head=(
            "stack",
            "speed (rev/min)",
            "by the chart (mm)",
            "by simulation (mm)",
            "difference",
            "cut above it (mm)",
            "swing of the tip (µm)",
            "waves on the work (µm)",
            "time out of the cut",
            "frequency (Hz)",
            "by the chart (Hz)",
        ),
        rows=tuple(_row(stack, speed) for stack in stacks for speed in stack.speeds),
    )


def _row(stack: SimulatedStack, speed: SimulatedSpeed) -> tuple[str, ...]:
    return (
        STACK_STYLES[stack.name].title,
        speed_words(speed.speed_rpm),
        limit_words(speed.chart_mm, stack.deepest_mm),
        limit_words(speed.limit_mm, stack.deepest_mm),
        _difference(speed),
        *_above(speed),
        frequency_words(speed.chart_hz),
    )


def _difference(speed: SimulatedSpeed) -> str:
    if not isfinite(speed.chart_mm) or not isfinite(speed.limit_mm):
        return NOT_THERE
    return gain_words(speed.limit_mm / speed.chart_mm - 1.0)


def _above(speed: SimulatedSpeed) -> tuple[str, ...]:
    above = speed.above
    if above is None:
        return (NOT_THERE,) * 5
    return (
        coarse(above.depth_mm),
        rounded(above.swing_um),
        rounded(above.waves_um),
        percent(above.away),
        frequency_words(above.frequency_hz),
    )
