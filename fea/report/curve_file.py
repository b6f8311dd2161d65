"""The deflection curves of both stacks as a table that a spreadsheet opens."""

from collections.abc import Iterator
from pathlib import Path

from fea.analysis.result import AXES, Comparison, StackResult
from fea.report.csv_file import write_table

COLUMNS = (
    "stack",
    "depth_mm",
    "actual_depth_mm",
    *(f"force_{axis}_n" for axis in AXES),
    *(f"deflection_{axis}_um" for axis in AXES),
    "diameter_error_um",
)


def write_curves(comparison: Comparison, path: Path) -> None:
    """Write one row per stack and depth of cut, units in the header."""
    stacks = (comparison.quick_change, comparison.four_way)
    write_table(stacks, COLUMNS, _rows, path)


def _rows(stack: StackResult) -> Iterator[tuple[float, ...]]:
    curve = stack.curve
    for i in range(len(curve.depth_mm)):
        yield (
            curve.depth_mm[i],
            curve.actual_depth_mm[i],
            *curve.force_n[i],
            *curve.deflection_um[i],
            curve.diameter_error_um[i],
        )
