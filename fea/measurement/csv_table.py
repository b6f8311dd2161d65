"""A CSV file as its header and rows, each with its line in the file."""

import csv
import re
from dataclasses import dataclass
from pathlib import Path

from geometry.errors import InputError

_COMMENT = ("#", '"#')  # a spreadsheet may put quotes around a comment
_HEADER = re.compile(r"(?P<name>.*?)\s*(?:\[(?P<unit>[^\]]*)\]|\((?P<round>[^)]*)\))?")

# Spreadsheets on Windows write this where they are asked for plain CSV.
_ENCODINGS = ("utf-8-sig", "cp1252")


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """Head of a column as the file has it.

    Parameters
    ----------
    text : as written
    name : in lower case, without the unit
    unit : what stands in brackets, empty without
    """

    text: str
    name: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of a table.

    Parameters
    ----------
    number : in the file, the first is 1
    cells : their texts, without spaces around
    """

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table with a header.

    Parameters
    ----------
    path : the file
    line : of the header
    headers : (n_column,)
    rows : as many cells in each as there are columns
    """

    path: Path
    line: int
    headers: tuple[Header, ...]
    rows: tuple[Line, ...]


def read_table(path: Path) -> Table:
    """Read a CSV file; lines that begin with # and empty ones are passed over.

    Raises
    ------
    InputError
        The file cannot be read, is empty, or a row is longer than the header.
    """
    texts = _text(path).splitlines()
    written = [
        (number, text)
        for number, text in enumerate(texts, 1)
        if text.strip(' ,;\t"') and not text.lstrip().startswith(_COMMENT)
    ]
    if not written:
        message = (
            f"{path.name}: holds no table, only {len(texts)} empty lines and comments; "
            "it must have a header and a row for each measurement (`stoutpost record` "
            "writes a file to start from)"
        )
        raise InputError(message)
    mark = _delimiter(written[0][1])
    first, *others = (_line(path, number, text, mark) for number, text in written)
    if not others:
        message = (
            f"{path.name}, line {first.number}: there is a header but no row below it; "
            "write a row for each measurement"
        )
        raise InputError(message)
    headers = tuple(_header(cell) for cell in first.cells)
    rows = tuple(_fitted(path, line, len(headers)) for line in others)
    return Table(path=path, line=first.number, headers=headers, rows=rows)


def _text(path: Path) -> str:
    try:
        raw = path.read_bytes()
    except OSError as error:
        message = f"{path}: cannot be read ({error.strerror}); give the file's name"
        raise InputError(message) from error
    for encoding in _ENCODINGS:
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    message = f"{path.name}: is not plain text; save it as CSV (comma separated, UTF-8)"
    raise InputError(message)


def _delimiter(header: str) -> str:
    return next((mark for mark in (";", "\t") if mark in header), ",")


def _line(path: Path, number: int, text: str, mark: str) -> Line:
    try:
        (cells,) = csv.reader(
            [text], delimiter=mark, skipinitialspace=True, strict=True
        )
    except (csv.Error, ValueError) as error:
        message = (
            f"{path.name}, line {number}: cannot be split into cells ({error}); close "
            "every quotation mark on the line that opens it"
        )
        raise InputError(message) from error
    while cells and not cells[-1].strip():
        cells.pop()
    return Line(number=number, cells=tuple(cell.strip() for cell in cells))


def _header(cell: str) -> Header:
    match = _HEADER.fullmatch(cell)
    name, unit = (cell, "") if match is None else (match["name"], _unit(match))
    return Header(text=cell, name=" ".join(name.lower().split()), unit=unit)


def _unit(match: re.Match[str]) -> str:
    return (match["unit"] or match["round"] or "").strip()


def _fitted(path: Path, line: Line, count: int) -> Line:
    """Fill up a row whose last cells are empty; refuse one that is too long."""
    if len(line.cells) > count:
        message = (
            f"{path.name}, line {line.number}: has {len(line.cells)} cells, but the "
            f"header has {count} columns; write decimal points, no decimal commas, and "
            "put text with a comma in quotes"
        )
        raise InputError(message)
    filled = (*line.cells, *("",) * (count - len(line.cells)))
    return Line(number=line.number, cells=filled)
