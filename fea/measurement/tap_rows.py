"""Rows of a tap test's file: peaks as written, or found in the recording they name."""

from collections.abc import Sequence
from pathlib import Path

from fea.measurement.record import TapResult
from fea.measurement.record_kind import Row
from fea.measurement.record_table import built, raise_problems
from fea.measurement.tap_kind import PEAK_COLUMNS, TAP, blow_of
from geometry.errors import InputError


def taps_of(rows: Sequence[Row], folder: Path) -> list[TapResult]:
    """Return the peaks of all rows; recordings are looked for in `folder`.

    Raises
    ------
    InputError
    """
    both = [
        f"{row.source}: names a recording and gives its peak too; leave "
        f"{', '.join(PEAK_COLUMNS)} empty, or the recording"
        for row in rows
        if row.values["recording"] and _has_peak(row)
    ]
    raise_problems(both)
    written = [row for row in rows if not row.values["recording"]]
    peaks: list[TapResult] = [*built(written, TAP)]
    for row in rows:
        if row.values["recording"]:
            peaks += _found(row, folder)
    return peaks


def _has_peak(row: Row) -> bool:
    return any(row.values[name] is not None for name in PEAK_COLUMNS)


def _found(row: Row, folder: Path) -> tuple[TapResult, ...]:
    # Signal processing takes a while to import, and few files name a recording.
    from fea.measurement.tap_evaluation import evaluate_taps, tap_results
    from fea.measurement.tap_recording import read_recording

    path = folder / row.values["recording"]
    if not path.is_file():
        message = (
            f"{row.source}, column 'recording': {path.name} is not there; put it into "
            f"{folder}, or write its way from there"
        )
        raise InputError(message)
    recording = read_recording(path)
    return tap_results(evaluate_taps([recording]), blow_of(row), row.source)
