"""Numbers of both stacks as a table that a spreadsheet opens."""

import csv
from collections.abc import Callable, Iterable, Sequence
from math import isfinite
from pathlib import Path
from typing import TypeVar

from fea.report.palette import Named

FORMAT = ".6g"

Rows = Iterable[Iterable[float]]
Stack = TypeVar("Stack", bound=Named)


def write_table(
    stacks: Iterable[Stack],
    columns: Sequence[str],
    rows: Callable[[Stack], Rows],
    path: Path,
) -> None:
    """Write the rows of one stack after the other, its name in front of each.

    `columns` begins with that of the name and carries the units. What is not a finite
    number is left empty.
    """
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(columns)
        for stack in stacks:
            for numbers in rows(stack):
                writer.writerow([stack.name, *map(_text, numbers)])


def _text(number: float) -> str:
    return format(float(number), FORMAT) if isfinite(number) else ""
