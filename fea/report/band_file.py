"""Bands of the deflection curves as a table that a spreadsheet opens."""

from collections.abc import Iterator
from pathlib import Path

from fea.analysis.result import AXES, Comparison, StackResult
from fea.report.csv_file import write_table

ENDS = ("low", "high")
COLUMNS = (
    "stack",
    "depth_mm",
    *(f"deflection_{axis}_{end}_um" for axis in AXES for end in ENDS),
    *(f"diameter_error_{end}_um" for end in ENDS),
)


def write_bands(comparison: Comparison, path: Path) -> None:
    """Write 5 and 95 % at the depths of the bands, which are some of the curve's."""
    stacks = (comparison.quick_change, comparison.four_way)
    write_table(stacks, COLUMNS, _rows, path)


def _rows(stack: StackResult) -> Iterator[tuple[float, ...]]:
    bands = stack.bands
    for i, depth in enumerate(bands.depth_mm):
        yield (
            depth,
            *bands.deflection_um[:, i].T.ravel(),
            *bands.diameter_error_um[:, i],
        )
