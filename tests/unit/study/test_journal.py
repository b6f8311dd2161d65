"""Finished designs on disk, and what makes them another study's."""

from dataclasses import replace
from pathlib import Path

import pytest
from small_study import WIDTH, grid, small_study

from fea.case.case_file import CaseReading
from fea.study import run
from fea.study.journal import Journal, Outcome
from fea.study.run import journal_of
from geometry.errors import StorageError

GRID = grid(["40 mm", "44 mm"], ["0 mm"])
GOOD = Outcome(row={"mass_kg": 0.1 + 0.2}, reason=None)
BAD = Outcome(row={}, reason="too thin")


def test_what_was_written_is_read_to_the_last_digit(tmp_path: Path) -> None:
    journal = Journal(path=tmp_path / "new" / "journal")
    assert journal.read() == {}
    journal.add("one", GOOD)
    journal.add("two", BAD)
    assert journal.read() == {"one": GOOD, "two": BAD}


@pytest.mark.parametrize("kept", [0, 1, 2, 20, 40, 0.999])
def test_a_line_that_was_cut_off_spoils_none_but_itself(
    tmp_path: Path, kept: float
) -> None:
    journal = Journal(path=tmp_path / "journal")
    journal.add("one", GOOD)
    first = journal.path.read_bytes()
    journal.add("two", BAD)
    second = journal.path.read_bytes()[len(first) :].strip()
    size = int(kept * len(second)) if 0 < kept < 1 else int(kept)
    journal.path.write_bytes(first + b"\n" + second[:size])
    journal.add("three", BAD)
    assert journal.read() == {"one": GOOD, "three": BAD}


def test_a_folder_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(StorageError, match="finished designs cannot be written"):
        Journal(path=tmp_path / "file" / "journal").add("one", GOOD)


def name_of(reading: CaseReading) -> str:
    return journal_of(reading, Path()).path.name


def test_limits_aims_and_other_values_share_a_journal(tmp_path: Path) -> None:
    limits = '[study.limits]\nmass = { max = "3 kg" }\n[study.aims]\nmass = "least"\n'
    first, *others = (
        small_study(tmp_path, study)
        for study in (GRID, GRID + limits, grid(["30 mm"], ["1 mm"]))
    )
    assert {name_of(first)} == {name_of(each) for each in others}


@pytest.mark.parametrize("key", ["cut.feed", "numerics.mesh_size", "work.material"])
def test_whatever_decides_a_number_makes_another_journal(
    tmp_path: Path, key: str
) -> None:
    reading = small_study(tmp_path, GRID)
    other = replace(reading, said={**reading.said, key: "changed"})
    assert name_of(other) != name_of(reading)


def test_a_changed_table_makes_another_journal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    reading = small_study(tmp_path, GRID)
    before = name_of(reading)
    monkeypatch.setattr(run, "tables_digest", lambda: "changed")
    assert name_of(reading) != before


def test_stresses_that_are_asked_for_make_another_journal(tmp_path: Path) -> None:
    limit = "[study.limits]\nsafety = { min = 2.0 }\n"
    plain, safe = small_study(tmp_path, GRID), small_study(tmp_path, GRID + limit)
    assert name_of(plain) != name_of(safe)
    assert WIDTH in {each.key for each in safe.case.study.variables}
