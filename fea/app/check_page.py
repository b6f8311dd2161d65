"""The page that `stoutpost check` prints."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.console import RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from fea.case.case_file import CaseReading
from fea.case.caution import cautions
from fea.case.defaults import DefaultTaken
from fea.case.derived import derive
from fea.case.key_tree import leaf_fields
from fea.case.tightening_words import tightening_lines
from fea.case.wording import Units, shown, shown_quantity

_INDENT = (0, 0, 0, 2)
_HEADING = "bold"
_QUIET = "dim"


def check_page(reading: CaseReading, units: Units) -> Iterator[RenderableType]:
    """Return the page from top to bottom: case, derived values, cautions, sources."""
    notes = _Notes.of(reading.defaults)
    yield from _title(reading)
    for section, keys in _sections().items():
        yield Text(f"[{section}]", style=_HEADING)
        yield _section_table(reading, keys, notes, units)
    yield Text("What follows from it", style=_HEADING)
    yield _derived_table(reading, units)
    yield Text("How it is tightened", style=_HEADING)
    yield _list("-", tightening_lines(reading.case, units))
    yield Text("Cautions", style=_HEADING)
    yield _list("-", cautions(reading.case, units))
    if notes.sources:
        yield Text("Who says so", style=_HEADING)
        yield _list("", [f"[{i}] {text}" for i, text in enumerate(notes.sources, 1)])


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


def _note(default: DefaultTaken, source: int) -> str:
    rule = f": {default.rule}" if default.rule else ""
    return f"default, {default.why}{rule} [{source}]"


def _title(reading: CaseReading) -> Iterator[RenderableType]:
    case = reading.case
    yield Text(case.title, style=_HEADING)
    if case.about:
        yield _indented(Text(case.about))
    counts = f"{len(reading.given)} keys given, {len(reading.defaults)} by default"
    yield _indented(Text(f"{reading.path.name}: {counts}"))


def _sections() -> dict[str, list[str]]:
    """Return the keys of each section, but for the words that make the title."""
    sections: dict[str, list[str]] = {}
    for key in leaf_fields():
        section = key.rpartition(".")[0]
        if section:
            sections.setdefault(section, []).append(key)
    return sections


def _section_table(
    reading: CaseReading, keys: Sequence[str], notes: _Notes, units: Units
) -> RenderableType:
    table = Table.grid(padding=(0, 2))
    table.add_column(min_width=16)
    table.add_column(min_width=14, no_wrap=True)
    table.add_column(style=_QUIET)
    for key in keys:
        value = Text(shown(reading.case, key, units))
        name = Text(key.rpartition(".")[2])
        table.add_row(name, value, Text(notes.by_key.get(key, "")))
    return _indented(table)


def _derived_table(reading: CaseReading, units: Units) -> RenderableType:
    table = Table.grid(padding=(0, 2))
    table.add_column()
    table.add_column(no_wrap=True)
    for item in derive(reading.case):
        value = shown_quantity(item.value, item.kind, units)
        table.add_row(Text(item.name), Text(value))
    return _indented(table)


def _list(mark: str, sentences: Sequence[str]) -> RenderableType:
    table = Table.grid(padding=(0, 1))
    for sentence in sentences:
        table.add_row(*([mark] if mark else []), Text(sentence))
    return _indented(table)


def _indented(content: RenderableType) -> RenderableType:
    return Padding(content, _INDENT, expand=False)
