"""Finished designs on disk, a line each, so that an interrupted study goes on."""

import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from geometry.errors import StorageError


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of a design.

    Parameters
    ----------
    row : its numbers, empty if it cannot be made or computed
    reason : why not, or None
    """

    row: Mapping[str, float]
    reason: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Journal:
    """A file of finished designs; what is in it is never computed again."""

    path: Path

    def read(self) -> dict[str, Outcome]:
        """Return what is finished, by the designs' keys.

        A line that was cut off when the process died counts as not written.
        """
        if not self.path.exists():
            return {}
        found = {}
        for line in self.path.read_text(encoding="utf-8").splitlines():
            try:
                entry = json.loads(line)
                found[entry["key"]] = Outcome(row=entry["row"], reason=entry["reason"])
            except (ValueError, KeyError, TypeError):
                continue
        return found

    def add(self, key: str, outcome: Outcome) -> None:
        """Write a finished design; on the disk when this returns."""
        entry = {"key": key, "row": dict(outcome.row), "reason": outcome.reason}
        # The newline comes first: a line that was cut off spoils none but itself.
        line = "\n" + json.dumps(entry) + "\n"
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with self.path.open("ab") as file:
                file.write(line.encode())
                file.flush()
                os.fsync(file.fileno())
        except OSError as error:
            message = (
                f"{self.path}: finished designs cannot be written "
                f"({error.strerror}); make the folder writable or free some space"
            )
            raise StorageError(message) from error
