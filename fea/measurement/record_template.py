"""A record file to fill in: its header, with everything explained in comments."""

from collections.abc import Iterable, Iterator
from textwrap import wrap

from fea.case.field_kind import Quantity
from fea.measurement.column import Column
from fea.measurement.record_kind import RecordKind

_WIDTH = 88


def record_template(kind: RecordKind) -> str:
    """Return the text of a file that a person fills in, rows below the last line."""
    lines = [f"# {kind.title}."]
    for heading, sentences in _chapters(kind):
        lines += ["#", f"# {heading}:", *_bullets(sentences)]
    lines += [f"#   {example}" for example in kind.examples]
    lines.append(",".join(column.header for column in kind.columns))
    return "\n".join(lines) + "\n"


_RULES = (
    "Every number has its unit, in the header as [mm] or behind the number as 0.4 "
    "thou; where both are written, the one behind the number counts.",
    "Write decimal points. Lines that begin with # are passed over.",
)


def _chapters(kind: RecordKind) -> Iterator[tuple[str, Iterable[str]]]:
    yield "Before you begin", kind.cautions
    yield "How", (*kind.about, *_RULES)
    yield "Columns; those in (brackets) may be left out or empty", _columns(kind)
    yield "Rows may look like this", ()


def _columns(kind: RecordKind) -> Iterator[str]:
    for column in kind.columns:
        name = column.name if column.needed else f"({column.name})"
        yield f"{name}: {column.about}{_units(column)}"


def _units(column: Column) -> str:
    quantity = column.kind
    return f" [{quantity.kind.known}]" if isinstance(quantity, Quantity) else ""


def _bullets(sentences: Iterable[str]) -> Iterator[str]:
    for sentence in sentences:
        yield from wrap(
            sentence, _WIDTH, initial_indent="# - ", subsequent_indent="#   "
        )
