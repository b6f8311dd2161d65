"""A column of a record file: its name, what its cells may hold, if it must be there."""

import re
from dataclasses import dataclass

from fea.case.field_kind import FieldKind, Quantity, refuse
from fea.case.unit_registry import FORCE, MASS, QuantityKind, unit_factor

_BARE_NUMBER = re.compile(r"[\d\s./+-]*(?:\d[eE][+-]?\d+)?")
_TRAILING_UNIT = re.compile(r"[^\d\s].*$")

KG_ADVICE = (
    "kg is a mass, not a force; what a scale shows as 20 kg pushes with 20 kgf "
    "(196 N): write kgf or N"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a record file.

    Parameters
    ----------
    name : as its header has it, without the unit
    kind : what a cell may hold
    about : what it means, one sentence for the template
    unit : unit that the template's header has; empty for words
    needed : whether the column must be there and its cells filled
    """

    name: str
    kind: FieldKind
    about: str
    unit: str = ""
    needed: bool = True

    @property
    def header(self) -> str:
        """Return the header that the template has."""
        return f"{self.name} [{self.unit}]" if self.unit else self.name


def read_cell(column: Column, cell: str, unit: str) -> object:
    """Return the value of a filled cell, in the unit of its kind, or refuse it.

    Parameters
    ----------
    column : the column it stands in
    cell : its text
    unit : unit in the file's header, empty where it has none
    """
    kind = column.kind
    if not isinstance(kind, Quantity):
        return kind.read(cell)
    bare = _BARE_NUMBER.fullmatch(cell) is not None
    if bare and not unit:
        refuse(
            f"has no unit; write '{column.header}' in the header, or the unit behind "
            f"each number, as {kind.kind.examples[0]}"
        )
    text = f"{cell} {unit}" if bare else cell
    if is_mass_for_force(kind.kind, _unit_of(text)):
        refuse(KG_ADVICE)
    return kind.read(text)


def _unit_of(text: str) -> str:
    found = _TRAILING_UNIT.search(text.strip().lstrip("+-"))
    return found.group() if found else ""


def is_mass_for_force(kind: QuantityKind, unit: str) -> bool:
    """Whether a mass is written where a force is wanted."""
    if kind is not FORCE or not unit:
        return False
    try:
        unit_factor(unit, MASS)
    except ValueError:
        return False
    return True


def check_unit(column: Column, unit: str) -> None:
    """Refuse a unit in the header that does not belong to the column."""
    if not isinstance(column.kind, Quantity):
        refuse(f"takes no unit; write '{column.name}'")
    kind = column.kind.kind
    if is_mass_for_force(kind, unit):
        refuse(KG_ADVICE)
    try:
        unit_factor(unit, kind)
    except ValueError:
        refuse(
            f"the unit '{unit}' does not say {kind.noun} (known: {kind.known}); write "
            f"'{column.header}'"
        )
