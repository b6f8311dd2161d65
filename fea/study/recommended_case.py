"""The case with the recommended design's values put in, as a file's text."""

from collections.abc import Iterator, MutableMapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fea.case.toml_text import read_text
from fea.study.designs import Design


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseText:
    """A case file's name and its text."""

    name: str
    text: str


def text_of(path: Path) -> CaseText:
    """Read a case file as it is written.

    Raises
    ------
    InputError
        It cannot be read.
    """
    return CaseText(name=path.name, text=read_text(path))


def recommended_text(said: CaseText, design: Design) -> str:
    """Return a case file's text with a design's values; all else stays as it was.

    `design` is one of that case's study.
    """
    import tomlkit

    document = tomlkit.parse(said.text)
    changes = [
        _change(key, _replace(document, key, value), value)
        for key, value in design.values.items()
    ]
    return "\n".join([*_head(said.name, design, changes), tomlkit.dumps(document)])


def _replace(table: MutableMapping[str, Any], key: str, value: object) -> object:
    """Put a value under a dotted name; return the one before, None if there is none."""
    import tomlkit
    from tomlkit.items import InlineTable

    *parents, name = key.split(".")
    for parent in parents:
        if parent not in table:
            inline = isinstance(table, InlineTable)
            table[parent] = tomlkit.inline_table() if inline else tomlkit.table()
        table = table[parent]
    before = table.get(name)
    table[name] = value
    return before


def _change(key: str, before: object, now: object) -> str:
    if before is None:
        return f"{key} = {now} (not in the file before)"
    return f"{key} = {now}" + (f" (was {before})" if before != now else "")


def _head(name: str, design: Design, changes: Sequence[str]) -> Iterator[str]:
    yield f"# {name} with what its study recommends, design {design.number}:"
    for change in changes:
        yield f"# {change}"
    yield ""
