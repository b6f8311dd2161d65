"""The deflection curves of both stacks as a table that a spreadsheet opens."""

import csv
from collections.abc import Iterator
from pathlib import Path

from fea.analysis.result import AXES, Comparison, StackResult

COLUMNS = (
    "stack",
    "depth_mm",
    "actual_depth_mm",
    *(f"force_{axis}_n" for axis in AXES),
    *(f"deflection_{axis}_um" for axis in AXES),
    "diameter_error_um",
)
FORMAT = ".6g"


def write_curves(comparison: Comparison, path: Path) -> None:
    """Write one row per stack and depth of cut, units in the header."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        for stack in (comparison.quick_change, comparison.four_way):
            writer.writerows(_rows(stack))


def _rows(stack: StackResult) -> Iterator[list[str]]:
    curve = stack.curve
    for i in range(len(curve.depth_mm)):
        numbers = (
            curve.depth_mm[i],
            curve.actual_depth_mm[i],
            *curve.force_n[i],
            *curve.deflection_um[i],
            curve.diameter_error_um[i],
        )
        yield [stack.name, *(format(float(number), FORMAT) for number in numbers)]
