"""What is wrong in a case file, in words that say what to change."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from fea.case.default_rule import load_default_rules
from fea.case.key_lines import line_of
from fea.case.key_tree import (
    kind_of,
    leaf_fields,
    nearest_key,
    section_fields,
    siblings,
)

_LONGEST_VALUE = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing that is wrong.

    Parameters
    ----------
    keys : dotted names of what it is about, the one to look at first
    text : what stands after the place: key, value, what is allowed, what to do
    """

    keys: tuple[str, ...]
    text: str


def problems_of(error: ValidationError) -> list[Problem]:
    """Return what the schema refuses, but for missing keys that have a default."""
    found = []
    for item in error.errors(include_url=False, include_context=False):
        key = ".".join(str(part) for part in item["loc"])
        if item["type"] == "missing" and key in load_default_rules():
            continue
        text = _text(key, item["type"], item["msg"], item["input"])
        found.append(Problem(keys=(key,), text=text))
    return found


def _text(key: str, kind: str, message: str, value: Any) -> str:
    if kind == "missing":
        return _missing(key)
    if kind == "extra_forbidden":
        return _unknown(key, value)
    if kind == "model_type":
        return (
            f"{key} = {as_written(value)}: is a section, not a value; write [{key}] on "
            f"a line of its own and its keys below it ({', '.join(_inside(key))})"
        )
    return f"{key} = {as_written(value)}: {message}"


def _missing(key: str) -> str:
    section, _, name = key.rpartition(".")
    where = f"under [{section}]" if section else "at the top of the file"
    field = leaf_fields()[key]
    return (
        f"{key} is missing: {kind_of(key).wanted}; add {name} {where} "
        f"({_first_words(field.description)})"
    )


def _first_words(description: str | None) -> str:
    return (description or "").rstrip(".")


def _unknown(key: str, value: object) -> str:
    is_table = isinstance(value, dict)
    shown = f"[{key}]" if is_table else f"{key} = {as_written(value)}"
    near = nearest_key(key)
    advice = "remove it" if near is None else f"did you mean {near}?"
    section = key.rpartition(".")[0]
    where = f"[{section}]" if section else "a case file"
    known = ", ".join(siblings(key))
    what = "section" if is_table else "key"
    return f"{shown}: there is no such {what}; {advice} (known in {where}: {known})"


def _inside(section: str) -> list[str]:
    return siblings(f"{section}.") if section in section_fields() else []


def as_written(value: object) -> str:
    """Return a value much as TOML has it, cut short where it is long."""
    if isinstance(value, bool):
        return str(value).lower()
    text = f'"{value}"' if isinstance(value, str) else str(value)
    if len(text) > _LONGEST_VALUE:
        return f"{text[:_LONGEST_VALUE]}..."
    return text


def report(
    path: Path,
    problems: Iterable[Problem],
    lines: Mapping[str, int],
    defaults: Mapping[str, str],
) -> str:
    """Return one line for each problem, in the order of the file.

    Parameters
    ----------
    path : the file
    problems : what is wrong in it
    lines : key to line
    defaults : key to rule, of the values that are not the user's
    """
    placed = [(_line(problem, lines), problem) for problem in problems]
    placed.sort(key=lambda pair: (pair[0] is None, pair[0] or 0))
    return "\n".join(
        f"{path.name}{'' if line is None else f', line {line}'}: {problem.text}"
        f"{_which_are_defaults(problem, defaults)}"
        for line, problem in placed
    )


def _line(problem: Problem, lines: Mapping[str, int]) -> int | None:
    """Return the line of the first key that the file has, else of its section."""
    written = (lines[key] for key in problem.keys if key in lines)
    return next(written, None) or line_of(problem.keys[0], lines)


def _which_are_defaults(problem: Problem, defaults: Mapping[str, str]) -> str:
    taken = [f"{key}: {defaults[key]}" for key in problem.keys if key in defaults]
    if not taken:
        return ""
    return f" (not in the file, so by default: {'; '.join(taken)})"
