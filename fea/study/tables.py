"""The tables of data that a study's numbers rest on, as one hash."""

import hashlib
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

PACKAGES = ("fea", "geometry")


@cache
def tables_digest() -> str:
    """Hash of every table of materials, surfaces, threads, defaults and the like.

    Which of them a design reads is not asked: one that is changed makes all anew.
    """
    digest = hashlib.sha256()
    for package in PACKAGES:
        for name, content in sorted(_tables(files(package), package)):
            digest.update(name.encode() + content)
    return digest.hexdigest()


def _tables(folder: Traversable, path: str) -> list[tuple[str, bytes]]:
    found = []
    for entry in folder.iterdir():
        inner = f"{path}/{entry.name}"
        if entry.is_dir():
            found += _tables(entry, inner)
        elif entry.name.endswith(".toml"):
            found.append((inner, entry.read_bytes()))
    return found
