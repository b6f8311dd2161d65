"""Bands of the deflection curves as a table that a spreadsheet opens."""

import csv
from collections.abc import Iterator
from pathlib import Path

from fea.analysis.result import AXES, Comparison, StackResult
from fea.report.curve_file import FORMAT

ENDS = ("low", "high")
COLUMNS = (
    "stack",
    "depth_mm",
    *(f"deflection_{axis}_{end}_um" for axis in AXES for end in ENDS),
    *(f"diameter_error_{end}_um" for end in ENDS),
)


def write_bands(comparison: Comparison, path: Path) -> None:
    """Write 5 and 95 % at the depths of the bands, which are some of the curve's."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        for stack in (comparison.quick_change, comparison.four_way):
            writer.writerows(_rows(stack))


def _rows(stack: StackResult) -> Iterator[list[str]]:
    bands = stack.bands
    for i, depth in enumerate(bands.depth_mm):
        numbers = (
            depth,
            *bands.deflection_um[:, i].T.ravel(),
            *bands.diameter_error_um[:, i],
        )
        yield [stack.name, *(format(float(number), FORMAT) for number in numbers)]
