"""From a case file to a case: reading, refusing, filling in defaults."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from pydantic import ValidationError

from fea.case.defaults import DefaultTaken, look, take_defaults
from fea.case.key_lines import key_lines
from fea.case.key_tree import leaf_fields, section_fields
from fea.case.problem import Problem, problems_of, report
from fea.case.schema import Case
from fea.case.shapes import fit_problems
from fea.case.study_problem import OWN, study_problems
from fea.case.tightening_problem import torque_problems
from fea.case.toml_text import Table, parse, read_text
from geometry.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseReading:
    """A case, and what of it the file did not say.

    Parameters
    ----------
    path : the file
    case : complete
    said : the file's values as it says them, by their dotted names
    defaults : every value that was filled in, in the order of the schema
    """

    path: Path
    case: Case
    said: Mapping[str, object]
    defaults: tuple[DefaultTaken, ...]

    @property
    def given(self) -> tuple[str, ...]:
        """The keys that the file gives."""
        return tuple(self.said)


def load_case(path: str | Path) -> Case:
    """Return the case that a file describes, complete and makeable.

    Raises
    ------
    InputError
        One line for each thing that is wrong: file, line, key, value, what is allowed
        and what to do.
    """
    return read_case(path).case


def read_case(path: str | Path) -> CaseReading:
    """Return the case that a file describes, and which defaults it takes.

    Raises
    ------
    InputError
        As `load_case`.
    """
    path = Path(path)
    return reading_of(path, read_text(path))


def reading_of(path: Path, text: str) -> CaseReading:
    """Return the case that a text describes; `path` is what messages call it.

    Raises
    ------
    InputError
        As `load_case`.
    """
    return _read(path, parse(path, text), key_lines(text))


def with_values(reading: CaseReading, values: Mapping[str, object]) -> CaseReading:
    """Return a case with other values for some keys, read anew and without a study.

    What follows from those keys by default follows again, and every rule of a case
    file holds.

    Parameters
    ----------
    values : by dotted name, as the file would say them

    Raises
    ------
    InputError
        As `load_case`.
    """
    said = {key: raw for key, raw in reading.said.items() if not key.startswith(OWN)}
    return _read(reading.path, {**said, **values}, {})


def _read(
    path: Path, table: Mapping[str, object], lines: Mapping[str, int]
) -> CaseReading:
    said = {key: raw for key, raw in _flat(table).items() if key in leaf_fields()}
    nested = _with_sections(table)
    problems = _schema_problems(nested) or torque_problems(said, partial(look, said))
    taken: tuple[DefaultTaken, ...] = ()
    if not problems:
        taken = take_defaults(said)
        nested = _with_sections(said | {each.key: each.value for each in taken})
        problems = _schema_problems(nested) or _misfits(Case.model_validate(nested))
    if problems:
        rules = {default.key: default.rule or default.why for default in taken}
        raise InputError(report(path, problems, lines, rules))
    case = Case.model_validate(nested)
    return CaseReading(path=path, case=case, said=said, defaults=taken)


def _misfits(case: Case) -> list[Problem]:
    return [*fit_problems(case), *study_problems(case.study)]


def _schema_problems(table: Table) -> list[Problem]:
    try:
        Case.model_validate(table)
    except ValidationError as error:
        return problems_of(error)
    return []


def _flat(table: Mapping[str, object], prefix: str = "") -> Table:
    """Return dotted keys to values; what is not a section stays whole."""
    flat: Table = {}
    for name, value in table.items():
        key = f"{prefix}{name}"
        if isinstance(value, dict) and key in section_fields():
            flat |= _flat(value, f"{key}.")
        else:
            flat[key] = value
    return flat


def _with_sections(table: Mapping[str, object]) -> Table:
    """Return nested tables with every section, so that keys are missed by name."""
    nested: Table = {key: {} for key in section_fields() if "." not in key}
    for key in section_fields():
        _put(nested, key, {})
    for key, value in _flat(table).items():
        _put(nested, key, value)
    return nested


def _put(table: Table, key: str, value: object) -> None:
    *parents, name = key.split(".")
    for parent in parents:
        inner = table.setdefault(parent, {})
        if not isinstance(inner, dict):
            return
        table = inner
    table[name] = value
