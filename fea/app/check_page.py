"""The page that `stoutpost check` prints."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from click import style, wrap_text

from fea.case.case_file import CaseReading
from fea.case.caution import cautions
from fea.case.defaults import DefaultTaken
from fea.case.derived import derive
from fea.case.key_tree import leaf_fields
from fea.case.tightening_words import tightening_lines
from fea.case.wording import Units, shown, shown_quantity

_INDENT = "  "

# Columns are at least as wide, so that those of all sections line up; a note is never
# squeezed into less. [letters]
_NAME = 16
_VALUE = 14
_NOTE = 24


def check_page(reading: CaseReading, units: Units, width: int) -> Iterator[str]:
    """Return the page from top to bottom: case, derived values, cautions, sources.

    Parameters
    ----------
    width : of the page [letters]
    """
    notes = _Notes.of(reading.defaults)
    yield from _title(reading, width)
    for section, keys in _sections().items():
        yield _heading(f"[{section}]")
        yield from _table(_section_rows(reading, keys, notes, units), width)
    yield _heading("What follows from it")
    yield from _table(_derived_rows(reading, units), width)
    yield _heading("How it is tightened")
    for line in tightening_lines(reading.case, units):
        yield _item("-", line, width)
    yield _heading("Cautions")
    for caution in cautions(reading.case, units):
        yield _item("-", caution, width)
    if notes.sources:
        yield _heading("Who says so")
        for number, source in enumerate(notes.sources, 1):
            yield _item(f"[{number}]", source, width)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Notes:
    """What stands beside the defaults.

    Parameters
    ----------
    by_key : note of each default
    sources : who says so, each once; the notes number them from 1
    """

    by_key: dict[str, str]
    sources: tuple[str, ...]

    @classmethod
    def of(cls, defaults: Sequence[DefaultTaken]) -> "_Notes":
        sources = tuple(dict.fromkeys(default.source for default in defaults))
        by_key = {
            default.key: _note(default, sources.index(default.source) + 1)
            for default in defaults
        }
        return cls(by_key=by_key, sources=sources)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """A name, its value and perhaps a note."""

    name: str
    value: str
    note: str = ""


def _note(default: DefaultTaken, source: int) -> str:
    rule = f": {default.rule}" if default.rule else ""
    return f"default, {default.why}{rule} [{source}]"


def _title(reading: CaseReading, width: int) -> Iterator[str]:
    case = reading.case
    yield _heading(case.title)
    if case.about:
        yield wrap_text(case.about, width, _INDENT, _INDENT, preserve_paragraphs=True)
    counts = f"{len(reading.given)} keys given, {len(reading.defaults)} by default"
    yield f"{_INDENT}{reading.path.name}: {counts}"


def _sections() -> dict[str, list[str]]:
    """Return the keys of each section, but for the words that make the title."""
    sections: dict[str, list[str]] = {}
    for key in leaf_fields():
        section = key.rpartition(".")[0]
        if section:
            sections.setdefault(section, []).append(key)
    return sections


def _section_rows(
    reading: CaseReading, keys: Sequence[str], notes: _Notes, units: Units
) -> list[_Row]:
    return [
        _Row(
            name=key.rpartition(".")[2],
            value=shown(reading.case, key, units),
            note=notes.by_key.get(key, ""),
        )
        for key in keys
    ]


def _derived_rows(reading: CaseReading, units: Units) -> list[_Row]:
    return [
        _Row(name=item.name, value=shown_quantity(item.value, item.kind, units))
        for item in derive(reading.case)
    ]


def _heading(text: str) -> str:
    return style(text, bold=True)


def _table(rows: Sequence[_Row], width: int) -> Iterator[str]:
    names = max(_NAME, *(len(row.name) for row in rows))
    values = max(_VALUE, *(len(row.value) for row in rows))
    for row in rows:
        start = f"{_INDENT}{row.name:<{names}}  {row.value}"
        if row.note:
            column = len(_INDENT) + names + values + 4
            start = start.ljust(column)
            note = style(row.note, dim=True)
            yield wrap_text(note, max(width, column + _NOTE), start, " " * column)
        else:
            yield start


def _item(mark: str, sentence: str, width: int) -> str:
    start = f"{_INDENT}{mark} "
    return wrap_text(sentence, width, start, " " * len(start))
