"""A set of files that appears whole or not at all in a folder of the user's."""

import shutil
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from geometry.errors import InputError

STAGING_PREFIX = ".unfinished-"


def require_writable(folder: Path, names: Iterable[str] = ()) -> None:
    """Refuse a folder that cannot be written, before any work is done.

    Nothing remains of the trial: a folder that does not exist yet is not made.

    Parameters
    ----------
    folder : where the files are to go
    names : of the files; none of them may be a folder there
    """
    try:
        parent = next(p for p in (folder, *folder.absolute().parents) if p.exists())
        shutil.rmtree(tempfile.mkdtemp(prefix=STAGING_PREFIX, dir=parent))
    except OSError as error:
        raise _refusal(folder, error.strerror or str(error)) from error
    for name in names:
        if (folder / name).is_dir():
            raise _refusal(folder, f"{name} in it is a folder, not a file")


@contextmanager
def staged(folder: Path, own: Iterable[str] = ()) -> Iterator[Path]:
    """Give a folder to write into; its files move to `folder` once all are there.

    The files are staged inside `folder`, so on the same file system, and each replaces
    its predecessor in one step. Other files in `folder` are left alone. If the body
    fails, `folder` is as it was before.

    Parameters
    ----------
    folder : made if it does not exist
    own : names of all that may be written; an older file of that name that is not
        written anew goes, because it would be taken for one of this run
    """
    made: list[Path] = []
    staging: Path | None = None
    try:
        made = _make(folder)
        staging = Path(tempfile.mkdtemp(prefix=STAGING_PREFIX, dir=folder))
    except OSError as error:
        _remove(made)
        raise _refusal(folder, error.strerror or str(error)) from error
    try:
        yield staging
        new = sorted(path.name for path in staging.iterdir())
        for name in new:
            (staging / name).replace(folder / name)
        for name in set(own).difference(new):
            (folder / name).unlink(missing_ok=True)
        made = []
    finally:
        shutil.rmtree(staging)
        _remove(made)


def _make(folder: Path) -> list[Path]:
    """Make a folder and its parents; return those that were made, deepest first."""
    missing = [p for p in (folder, *folder.parents) if not p.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    return missing


def _remove(folders: list[Path]) -> None:
    for folder in folders:
        if folder.exists():
            folder.rmdir()


def _refusal(folder: Path, reason: str) -> InputError:
    return InputError(
        f"output folder = '{folder}': must be a folder that can be written "
        f"({reason}); choose another one or clear the way to this one"
    )
