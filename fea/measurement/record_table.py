"""A table as rows of one kind of record: which kind, which columns, which values."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic_core import PydanticCustomError
from rapidfuzz import fuzz, process

from fea.measurement.column import Column, check_unit, read_cell
from fea.measurement.csv_table import Header, Line, Table
from fea.measurement.record import Source
from fea.measurement.record_kind import RecordKind, Row
from fea.measurement.record_kinds import KINDS
from geometry.errors import InputError

# Similarity from which a name is offered instead of one that is not known. [%]
_NEAR = 70.0

# A fault repeated on every row is said so often; the rest is counted.
_MOST_PROBLEMS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """Where a column stands in a file: its index, and the unit in its header."""

    index: int
    unit: str


def kind_of(table: Table) -> RecordKind:
    """Return the kind of record that a table's columns belong to.

    Raises
    ------
    InputError
        They belong to none, or to two kinds alike.
    """
    scores = {kind.name: _matches(table, kind) for kind in KINDS.values()}
    ranked = sorted(scores, key=lambda name: -scores[name])
    best, second = ranked[0], ranked[1]
    if scores[best] > scores[second]:
        return KINDS[best]
    written = ", ".join(header.text for header in table.headers)
    message = (
        f"{table.path.name}, line {table.line}: no kind of record has the columns "
        f"{written}; `stoutpost record` with {', '.join(KINDS)} writes a file with the "
        "right header"
    )
    raise InputError(message)


def _matches(table: Table, kind: RecordKind) -> int:
    """Return how many of a table's columns a kind has, misspelt ones too."""
    names = [column.name for column in kind.columns]
    return sum(_nearest(header.name, names) is not None for header in table.headers)


def _nearest(name: str, names: list[str]) -> str | None:
    found = process.extractOne(name, names, scorer=fuzz.ratio, score_cutoff=_NEAR)
    return None if found is None else str(found[0])


def read_rows(table: Table, kind: RecordKind) -> tuple[Row, ...]:
    """Return the rows of a table, every cell read.

    Raises
    ------
    InputError
        All that is wrong, one line for each.
    """
    places = _places(table, kind)
    problems: list[str] = []
    rows = []
    for line in table.rows:
        values = _values(line, kind, places, problems, table)
        source = Source(file=table.path.name, line=line.number)
        rows.append(Row(values=values, source=source))
    raise_problems(problems)
    return tuple(rows)


def raise_problems(problems: list[str]) -> None:
    """Raise one InputError with all problems, long lists cut short."""
    if not problems:
        return
    shown = problems[:_MOST_PROBLEMS]
    if len(problems) > _MOST_PROBLEMS:
        shown.append(f"and {len(problems) - _MOST_PROBLEMS} more")
    raise InputError("\n".join(shown))


def _places(table: Table, kind: RecordKind) -> dict[str, _Place]:
    """Return where each column stands; refuse a header that does not fit."""
    known = {column.name: column for column in kind.columns}
    where = f"{table.path.name}, line {table.line}"
    problems = []
    places: dict[str, _Place] = {}
    for index, header in enumerate(table.headers):
        problem = _header_problem(header, known, places, kind)
        if problem is not None:
            problems.append(f"{where}, column '{header.text}': {problem}")
        places[header.name] = _Place(index=index, unit=header.unit)
    problems += [
        f"{where}: the column '{column.header}' is missing: {column.about}; add it"
        for column in kind.columns
        if column.needed and column.name not in places
    ]
    raise_problems(problems)
    return places


def _header_problem(
    header: Header,
    known: Mapping[str, Column],
    before: Mapping[str, _Place],
    kind: RecordKind,
) -> str | None:
    """Return what is wrong with a header, None if nothing is."""
    if header.name not in known:
        near = _nearest(header.name, list(known))
        guess = "remove it" if near is None else f"did you mean '{known[near].header}'?"
        names = ", ".join(known)
        return f"no {kind.name} record has it; {guess} (known: {names})"
    if header.name in before:
        return "stands twice; remove one of them"
    if not header.unit:
        return None
    try:
        check_unit(known[header.name], header.unit)
    except PydanticCustomError as error:
        return error.message()
    return None


def _values(
    line: Line,
    kind: RecordKind,
    places: Mapping[str, _Place],
    problems: list[str],
    table: Table,
) -> dict[str, object]:
    """Return the values of a row; what is wrong is added to `problems`."""
    values: dict[str, object] = {}
    for column in kind.columns:
        place = places.get(column.name)
        cell = "" if place is None else line.cells[place.index]
        values[column.name] = None
        where = f"{table.path.name}, line {line.number}, column '{column.name}'"
        if place is None or not cell:
            if column.needed:
                problems.append(f"{where}: is empty; {column.about}")
            continue
        try:
            values[column.name] = read_cell(column, cell, place.unit)
        except PydanticCustomError as error:
            problems.append(f'{where}: "{cell}" {error.message()}')
    return values


def built(rows: Iterable[Row], kind: RecordKind) -> list[Any]:
    """Return the record of every row.

    Raises
    ------
    InputError
        All that does not fit together in a row, one line for each.
    """
    records: list[Any] = []
    problems = []
    for row in rows:
        try:
            records.append(kind.build(row))
        except PydanticCustomError as error:
            problems.append(f"{row.source}: {error.message()}")
    raise_problems(problems)
    return records
