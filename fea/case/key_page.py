"""The page that lists every key of a case file, for `cases/README.md`.

Write it anew after a change of the schema or of a default:

    python -m fea.case.key_page > cases/README.md
"""

import sys
from collections.abc import Iterator

from fea.case.default_rule import load_default_rules
from fea.case.field_kind import Choice
from fea.case.key_tree import kind_of, leaf_fields, section_fields

HEAD = """\
# The keys of a case file

Made from the schema by `python -m fea.case.key_page > cases/README.md`; a test says
when that is due.

A case is one TOML file. A quantity is text with its unit, `"12 mm"`, `"1/2 in"`,
`"10 thou"`, `"20 kN"`, `"60 deg"`; metric and inch may be mixed. Keys marked **needed**
have to be there. Every other key has a default, often a sum of other keys; `stoutpost
check CASE` prints each value that was taken and who says so. The two cases in this
folder are invented: one metric with almost every key, one in inches with few.
"""
HEADING = ("key", "what it is", "what is allowed", "where it is left out")
NEEDED = "**needed**"
NOTHING = "nothing"
MOST_NAMES = 6
"""Choices with more names than this are listed once, at the end of the page."""


def key_page() -> str:
    """Return the page as Markdown."""
    return "\n".join([HEAD, *_sections()])


def _sections() -> Iterator[str]:
    yield from _table("", "At the top of the file")
    for section, field in section_fields().items():
        yield from _table(section, f"`[{section}]`", field.description or "")
    for noun, choice in _long_choices().items():
        yield f"## Names of a {noun}\n"
        yield f"{', '.join(dict.fromkeys([*choice.names(), *choice.also()]))}\n"


def _table(section: str, title: str, meaning: str = "") -> Iterator[str]:
    keys = [key for key in leaf_fields() if key.rpartition(".")[0] == section]
    if not keys:
        return
    yield f"## {title}\n"
    if meaning:
        yield f"{meaning}\n"
    yield _row(HEADING)
    yield _row(["---"] * len(HEADING))
    yield from (_row(_cells(key)) for key in keys)
    yield ""


def _cells(key: str) -> tuple[str, ...]:
    name = key.rpartition(".")[2]
    meaning = leaf_fields()[key].description or ""
    return f"`{name}`", meaning, _allowed(key), _default(key)


def _allowed(key: str) -> str:
    kind = kind_of(key)
    if isinstance(kind, Choice) and kind.noun in _long_choices():
        return f"the name of a {kind.noun}, see the end of this page"
    return kind.wanted


def _long_choices() -> dict[str, Choice]:
    """Return the choices with many names, by what the names are."""
    choices = (kind for kind in map(kind_of, leaf_fields()) if isinstance(kind, Choice))
    return {c.noun: c for c in choices if len(list(c.names())) > MOST_NAMES}


def _default(key: str) -> str:
    """Return what stands in for a key that is left out."""
    rule = load_default_rules().get(key)
    if rule is None:
        return NEEDED if leaf_fields()[key].is_required() else NOTHING
    taken = str(rule) or _written(rule.value)
    if rule.only_if is not None:
        other, wanted = rule.only_if
        return f"{taken}, only if {other} is {' or '.join(map(str, wanted))}"
    return taken


def _written(value: object) -> str:
    """Return a plain default as it stands in a case file, text without its quotes."""
    if isinstance(value, dict):
        inner = (
            f'{name} = "{item}"' if isinstance(item, str) else f"{name} = {item}"
            for name, item in value.items()
        )
        return f"{{ {', '.join(inner)} }}"
    return str(value)


def _row(cells: tuple[str, ...] | list[str]) -> str:
    return f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in cells)} |"


if __name__ == "__main__":
    sys.stdout.write(key_page())
