"""What the report repeats of a case: its words and what was understood of it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseRow:
    """One line of a case as it was understood.

    Parameters
    ----------
    section, key : where it stands in the case file
    value : with its unit, as text
    is_default : the case file does not say it
    """

    section: str
    key: str
    value: str
    is_default: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseSummary:
    """A case as the report shows it."""

    title: str
    about: str
    rows: tuple[CaseRow, ...]
