"""Named arrays in a file: written whole or not at all, never trusted when damaged."""

import hashlib
import json
import os
import tempfile
from collections.abc import Iterable, Mapping
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np

from geometry.errors import StorageError

DIGEST_BYTES = hashlib.sha256().digest_size
KEY_LETTERS = 32
DECIMALS = 9  # of lengths in a key: moving pads between frames leaves less [mm]
KEY = "key"

Arrays = Mapping[str, np.ndarray]


def key_of(made_by: Mapping[str, Any]) -> str:
    """Hash of plain values; floats count up to `DECIMALS` behind the point."""
    rounded = json.loads(json.dumps(made_by), parse_float=_rounded)
    text = json.dumps(rounded, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:KEY_LETTERS]


def digest_of(arrays: Iterable[np.ndarray]) -> str:
    """Hash of all that some arrays hold, for `key_of`."""
    digest = hashlib.sha256()
    for array in arrays:
        digest.update(array.tobytes())
    return digest.hexdigest()


def path_of(folder: Path, key: str) -> Path:
    """Where a key's arrays are kept."""
    return folder / f"{key}.npz"


def load_arrays(folder: Path, key: str) -> dict[str, np.ndarray] | None:
    """Read a key's arrays, or None if the file is missing, damaged or another key's."""
    try:
        content = path_of(folder, key).read_bytes()
    except OSError:
        return None
    if content[:DIGEST_BYTES] != _digest(memoryview(content)[DIGEST_BYTES:]):
        return None
    stream = BytesIO(content)
    stream.seek(DIGEST_BYTES)
    with np.load(stream, allow_pickle=False) as file:
        if str(file[KEY]) != key:
            return None
        return {name: file[name] for name in file.files if name != KEY}


def store_arrays(folder: Path, key: str, arrays: Arrays) -> None:
    """Write a key's arrays; an interrupted or parallel run leaves nothing half-made.

    Raises
    ------
    StorageError
        The folder cannot be written.
    """
    archive = BytesIO()
    np.savez(archive, **{KEY: np.asarray(key)}, **arrays)  # type: ignore[arg-type]
    content = archive.getbuffer()
    try:
        _write_whole(path_of(folder, key), _digest(content), content)
    except OSError as error:
        message = (
            f"{folder}: the folder that keeps reduced parts between runs cannot be "
            f"written ({error.strerror}); make it writable or free some space"
        )
        raise StorageError(message) from error


def _write_whole(path: Path, *pieces: bytes | memoryview) -> None:
    """Write a file under another name and rename it when it is complete."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, made = tempfile.mkstemp(dir=path.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            for piece in pieces:
                file.write(piece)
        Path(made).replace(path)
    except BaseException:
        Path(made).unlink(missing_ok=True)
        raise


def _digest(content: memoryview) -> bytes:
    """Return what stands before the archive, whose own sums leave out its headers."""
    return hashlib.sha256(content).digest()


def _rounded(text: str) -> float:
    return round(float(text), DECIMALS) + 0.0
