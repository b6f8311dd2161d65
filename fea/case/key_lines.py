"""In which line of a case file each key stands."""

import re
from collections.abc import Mapping

_HEADER = re.compile(r"\s*\[\[?\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?")
_ASSIGNMENT = re.compile(r"""\s*([A-Za-z0-9_.:"'\- ]+?)\s*=(.*)""")
_INNER_KEY = re.compile(r"""[{,]\s*([A-Za-z0-9_.\-]+)\s*=""")
_MULTI_LINE = re.compile(r"\"\"\"|'''")


def key_lines(text: str) -> dict[str, int]:
    """Return the line, counted from 1, of every section and key by its dotted name.

    The text is valid TOML. Keys of an inline table stand in the line of the table.
    """
    lines: dict[str, int] = {}
    section, open_quote = "", ""
    for number, line in enumerate(text.splitlines(), start=1):
        was_open, open_quote = open_quote, _quote_left_open(line, open_quote)
        if was_open:
            continue
        if header := _HEADER.fullmatch(line):
            section = f"{_plain(header[1])}."
            lines.setdefault(section[:-1], number)
        elif assignment := _ASSIGNMENT.fullmatch(line):
            key = section + _plain(assignment[1])
            lines.setdefault(key, number)
            for inner in _INNER_KEY.findall(assignment[2]):
                lines.setdefault(f"{key}.{inner}", number)
    return lines


def line_of(key: str, lines: Mapping[str, int]) -> int | None:
    """Return a key's line, else that of the innermost section that has one."""
    while key:
        if key in lines:
            return lines[key]
        key = key.rpartition(".")[0]
    return None


def _plain(dotted: str) -> str:
    """Return a dotted name without quotes and blanks."""
    return ".".join(part.strip().strip("\"'") for part in dotted.split("."))


def _quote_left_open(line: str, quote: str) -> str:
    """Return the triple quote that is open after a line, empty if none is."""
    for mark in _MULTI_LINE.findall(line):
        if not quote:
            quote = mark
        elif quote == mark:
            quote = ""
    return quote
