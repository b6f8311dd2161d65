"""Read a case file's text and its tables, or say why that cannot be done."""

import re
import tomllib
from pathlib import Path

from geometry.errors import InputError

# A case with every key and a long story is a few kB. [bytes]
_LARGEST_FILE = 1_000_000

Table = dict[str, object]


def read_text(path: Path) -> str:
    """Return the text of a case file; refuse what is not a short UTF-8 text file."""
    if path.is_dir():
        _refuse(f"{path}: is a folder; name the case file in it")
    if path.exists() and not path.is_file():
        _refuse(f"{path}: is not a plain file; name a case file")
    try:
        content = path.read_bytes() if _is_short(path) else None
    except OSError as error:
        reason = (error.strerror or "cannot be read").lower()
        message = f"{path}: cannot be read ({reason}); check its name and its rights"
        raise InputError(message) from None
    if content is None:
        _refuse(
            f"{path}: is larger than {_LARGEST_FILE // 1000} kB; name a case file, "
            "which is a short text in TOML"
        )
    return _decoded(path, content or b"")


def _is_short(path: Path) -> bool:
    return path.stat().st_size <= _LARGEST_FILE


def _decoded(path: Path, content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        message = (
            f"{path.name}, line {line}: is not UTF-8 text (byte "
            f"0x{content[error.start]:02x}); save the file as UTF-8"
        )
        raise InputError(message) from None


def parse(path: Path, text: str) -> Table:
    """Return the tables of a TOML text; refuse what is not TOML."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = _syntax_message(path, text, str(error))
    except RecursionError:
        message = (
            f"{path.name}: brackets are nested too deep for a case file; remove what "
            "is not a key of a case"
        )
    raise InputError(message)


def _syntax_message(path: Path, text: str, said: str) -> str:
    rows = text.splitlines() or [""]
    place = re.search(r"\(at line (\d+), column \d+\)", said)
    line = int(place[1]) if place else len(rows)
    what = re.sub(r"\s*\(at .*\)$", "", said)
    written = rows[min(line, len(rows)) - 1].strip()
    return (
        f"{path.name}, line {line}: {written}: is not TOML ({what}); write "
        'key = "16 mm", text in quotes, each section as [name] on its own line'
    )


def _refuse(message: str) -> None:
    raise InputError(message)
