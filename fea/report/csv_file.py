"""Numbers of both stacks as a table that a spreadsheet opens."""

import csv
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from fea.analysis.result import Comparison, StackResult

FORMAT = ".6g"

Rows = Iterable[Iterable[float]]


def write_table(
    comparison: Comparison,
    columns: Sequence[str],
    rows: Callable[[StackResult], Rows],
    path: Path,
) -> None:
    """Write the rows of one stack after the other, its name in front of each.

    `columns` begins with that of the name and carries the units.
    """
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(columns)
        for stack in (comparison.quick_change, comparison.four_way):
            for numbers in rows(stack):
                texts = (format(float(number), FORMAT) for number in numbers)
                writer.writerow([stack.name, *texts])
