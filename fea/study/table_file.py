"""Every design of a study as a table: CSV for spreadsheets, Parquet for programs."""

import csv
from collections.abc import Sequence
from pathlib import Path

from fea.case.study_section import Study
from fea.study.answer import beyond
from fea.study.run import Finished

LIMITED, REASON, NUMBER = "within_limits", "reason", "design"

Column = list[object]


def columns_of(study: Study, finished: Sequence[Finished]) -> dict[str, Column]:
    """Return the table: a design a row, what varies first, None where nothing is."""
    table: dict[str, Column] = {NUMBER: [each.design.number for each in finished]}
    for variable in study.variables:
        key = variable.key
        # One kind of value a column: the case file's own text.
        table[key] = [str(each.design.values[key]) for each in finished]
    reasons = [beyond(study, each) for each in finished]
    table[LIMITED] = [reason is None for reason in reasons]
    names = dict.fromkeys(name for each in finished for name in each.outcome.row)
    for name in names:
        table[name] = [each.outcome.row.get(name) for each in finished]
    table[REASON] = list(reasons)
    return table


def write_csv(table: dict[str, Column], path: Path) -> None:
    """Write the table as text; numbers keep every digit."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(table)
        writer.writerows(zip(*table.values(), strict=True))


def write_parquet(table: dict[str, Column], path: Path) -> None:
    """Write the table with its types."""
    import pyarrow as pa
    from pyarrow import parquet

    parquet.write_table(pa.table(table), path)
