"""A table of the report: caption, meaning, text."""

from dataclasses import dataclass

NOT_THERE = "–"
"""In the column of a stack that has no such member."""

Rows = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Caption, meaning and text of one table; the first column heads its rows.

    Parameters
    ----------
    n_words : columns from the left that hold words and not numbers
    marked : numbers of the rows that stand out
    """

    caption: str
    meaning: str
    head: tuple[str, ...]
    rows: Rows
    n_words: int = 1
    marked: tuple[int, ...] = ()
