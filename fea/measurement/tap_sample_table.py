"""Samples of a CSV file: a column of times, and sound or acceleration beside it."""

from pathlib import Path

import numpy as np

from fea.case.unit_registry import TIME, unit_factor
from fea.measurement.csv_table import Table, read_table
from fea.measurement.tap_samples import Samples
from geometry.errors import InputError
from geometry.pad import FloatArray

_TIME, _FORCE = "time", "force"
_RESPONSES = ("sound", "acceleration", "velocity")
_WANTED = (
    "a recording has the columns 'time [s]' (or [ms]) and one of "
    f"{', '.join(_RESPONSES)}, and {_FORCE} if the hammer has a sensor"
)

# Clocks of loggers waver; beyond this share of a step spectra would be wrong (assumed).
_UNEVEN = 0.05


def read_sample_table(path: Path) -> Samples:
    """Return the samples of a table with even steps of time.

    Raises
    ------
    InputError
    """
    table = read_table(path)
    where = f"{path.name}, line {table.line}"
    names = [header.name for header in table.headers]
    responses = [index for index, name in enumerate(names) if name in _RESPONSES]
    if names.count(_TIME) != 1 or not responses or names.count(_FORCE) > 1:
        message = f"{where}: has the columns {', '.join(names)}; {_WANTED}"
        raise InputError(message)
    numbers = _numbers(table)
    clock = names.index(_TIME)
    times = numbers[clock] * _seconds(table, clock)
    used = responses + [index for index, name in enumerate(names) if name == _FORCE]
    return Samples(
        rate_hz=_rate(table, times),
        channels=numbers[used],
        force=len(responses) if _FORCE in names else None,
        step=0.0,
        full_scale=np.inf,
    )


def _seconds(table: Table, clock: int) -> float:
    unit = table.headers[clock].unit
    try:
        return unit_factor(unit, TIME)
    except ValueError as error:
        message = (
            f"{table.path.name}, line {table.line}, column "
            f"'{table.headers[clock].text}': must say the unit of time ({TIME.known}); "
            "write 'time [s]' or 'time [ms]'"
        )
        raise InputError(message) from error


def _numbers(table: Table) -> FloatArray:
    """Return (n_column, n_row)."""
    rows = []
    for line in table.rows:
        try:
            rows.append([float(cell) for cell in line.cells])
        except ValueError as error:
            message = (
                f"{table.path.name}, line {line.number}: {error}; every cell of a "
                "recording must be a plain number with a decimal point"
            )
            raise InputError(message) from error
    numbers = np.array(rows).T
    if not np.isfinite(numbers).all():
        line = table.rows[int(np.argmin(np.isfinite(numbers).all(axis=0)))]
        message = (
            f"{table.path.name}, line {line.number}: holds a number that is not "
            "finite; remove such rows and close the gap, or record anew"
        )
        raise InputError(message)
    return numbers


def _rate(table: Table, times: FloatArray) -> float:
    """Return the rate of samples [Hz] of even, rising times (n_sample,) [s]."""
    steps = np.diff(times)
    step = float(np.median(steps)) if steps.size else 0.0
    if step <= 0.0 or np.abs(steps - step).max() > _UNEVEN * step:
        bad = int(np.argmax(np.abs(steps - step))) if steps.size else 0
        line = table.rows[min(bad + 1, len(table.rows) - 1)]
        message = (
            f"{table.path.name}, line {line.number}, column '{_TIME}': times must rise "
            "in even steps; export the recording without gaps"
        )
        raise InputError(message)
    return 1.0 / step
