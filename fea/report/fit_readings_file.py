"""`readings.csv`: every reading beside what was and is predicted of it."""

import csv
from collections.abc import Sequence
from math import isfinite
from pathlib import Path

from fea.measurement.answer import RecordAnswer
from fea.measurement.observation import UNITS
from fea.report.csv_file import FORMAT
from fea.report.fit_reading import observed_words, setup_words, uncertainty_of

COLUMNS = (
    "number",
    "kind",
    "stack",
    "what",
    "unit",
    "measured",
    "uncertainty",
    "seen or heard",
    "predicted 5 %",
    "predicted 50 %",
    "predicted 95 %",
    "calibrated 5 %",
    "calibrated 50 %",
    "calibrated 95 %",
    "residual [standard deviations]",
    "chance of what was seen or heard",
    "file",
    "line",
)


def write_readings(records: Sequence[RecordAnswer], path: Path) -> None:
    """Write the table; numbers are in the unit of their row."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        for number, record in enumerate(records, 1):
            writer.writerow([number, *_row(record)])


def _row(record: RecordAnswer) -> list[str]:
    seen = record.seen
    return [
        str(seen.kind),
        seen.stack,
        setup_words(seen),
        UNITS[seen.kind],
        _text(record.measured),
        _text(uncertainty_of(seen)),
        observed_words(seen) if record.measured is None else "",
        *map(_text, record.predicted.tolist()),
        *map(_text, record.calibrated.tolist()),
        _text(record.residual),
        _text(record.chance),
        seen.source.file,
        str(seen.source.line),
    ]


def _text(number: float | None) -> str:
    """Write a number; what is no finite one is left empty."""
    return "" if number is None or not isfinite(number) else format(number, FORMAT)
