"""The limits of both stacks as a table that a spreadsheet opens."""

from collections.abc import Iterator
from pathlib import Path

from fea.analysis.chatter_result import Chatter, SpeedLimits, StackChatter
from fea.report.chatter_words import at_speeds
from fea.report.csv_file import write_table

COLUMNS = (
    "stack",
    "lathe_speed",
    "speed_rpm",
    "limit_mm",
    "limit_low_mm",
    "limit_high_mm",
    "frequency_hz",
)
OF_THE_LATHE, OF_THE_CHART = 1, 0


def write_limits(chatter: Chatter, path: Path) -> None:
    """Write first the lathe's own speeds (`lathe_speed` 1), then the chart's (0).

    A limit is empty where nothing up to the largest depth tried chatters, a frequency
    where nothing vibrates.
    """
    stacks = (chatter.quick_change, chatter.four_way)
    write_table(stacks, COLUMNS, _rows, path)


def _rows(stack: StackChatter) -> Iterator[tuple[float, ...]]:
    yield from _of(at_speeds(stack), OF_THE_LATHE)
    yield from _of(stack.chart, OF_THE_CHART)


def _of(limits: SpeedLimits, whose: int) -> Iterator[tuple[float, ...]]:
    for i, speed in enumerate(limits.speed_rpm):
        yield (
            whose,
            speed,
            limits.limit_mm[i],
            *limits.band_mm[:, i],
            limits.frequency_hz[i],
        )
