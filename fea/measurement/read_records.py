"""Record files in, records out."""

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from fea.measurement.csv_table import read_table
from fea.measurement.cut_kind import CUT
from fea.measurement.plausible import cut_problems, push_problems, spring_problems
from fea.measurement.push_kind import PUSH
from fea.measurement.record import Records
from fea.measurement.record_kind import Record, RecordKind
from fea.measurement.record_table import built, kind_of, raise_problems, read_rows
from fea.measurement.spring_kind import SPRING
from fea.measurement.tap_kind import TAP
from fea.measurement.tap_rows import taps_of
from geometry.errors import InputError

_CHECKS: dict[str, Callable[[Sequence[Any]], list[str]]] = {
    PUSH.name: push_problems,
    SPRING.name: spring_problems,
    CUT.name: cut_problems,
}


def read_records(paths: Iterable[Path]) -> Records:
    """Read record files; the columns of each tell which kind it is.

    Raises
    ------
    InputError
        A file cannot be read, a cell cannot be used, or a record cannot be true.
    """
    found: dict[str, list[Any]] = {k.name: [] for k in (PUSH, SPRING, CUT, TAP)}
    seen: set[Path] = set()
    for path in paths:
        if path.resolve() in seen:
            message = f"{path}: is given twice and would count twice; give it once"
            raise InputError(message)
        seen.add(path.resolve())
        kind, records = _read_file(path)
        found[kind.name] += records
    return Records(
        pushes=tuple(found[PUSH.name]),
        springs=tuple(found[SPRING.name]),
        cuts=tuple(found[CUT.name]),
        taps=tuple(found[TAP.name]),
    )


def _read_file(path: Path) -> tuple[RecordKind, Sequence[Record]]:
    table = read_table(path)
    kind = kind_of(table)
    rows = read_rows(table, kind)
    if kind is TAP:
        return kind, taps_of(rows, path.parent)
    records = built(rows, kind)
    raise_problems(_CHECKS[kind.name](records))
    return kind, records
