"""Files of a report appear whole or not at all."""

import tempfile
from pathlib import Path

import pytest

from fea.report.staging import require_writable, staged
from geometry.errors import InputError


def refuse(*args: object, **kwargs: object) -> str:
    raise PermissionError(13, "Permission denied")


def test_a_folder_under_a_file_is_refused_before_any_work(tmp_path: Path) -> None:
    (tmp_path / "notes").write_text("mine")
    with pytest.raises(InputError, match=r"output folder = .*choose another") as caught:
        require_writable(tmp_path / "notes" / "out")
    assert caught.value.exit_code == 2
    assert [p.name for p in tmp_path.iterdir()] == ["notes"]


def test_a_file_in_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "out"
    path.write_text("mine")
    with pytest.raises(InputError, match="out"):
        require_writable(path)
    assert path.read_text() == "mine"


def test_a_folder_without_permission_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "mkdtemp", refuse)
    with pytest.raises(InputError, match="Permission denied"):
        require_writable(tmp_path / "out")
    with pytest.raises(InputError, match="Permission denied"), staged(tmp_path / "new"):
        pass
    assert list(tmp_path.iterdir()) == []


def test_a_folder_in_place_of_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "report.html").mkdir()
    with pytest.raises(InputError, match=r"report\.html in it is a folder"):
        require_writable(tmp_path, ["report.html"])


def test_trying_leaves_nothing_behind(tmp_path: Path) -> None:
    require_writable(tmp_path / "a" / "b")
    assert list(tmp_path.iterdir()) == []


def test_files_replace_their_predecessors_and_no_others(tmp_path: Path) -> None:
    (tmp_path / "report.html").write_text("old")
    (tmp_path / "mine.txt").write_text("mine")
    with staged(tmp_path) as place:
        (place / "report.html").write_text("new")
        assert (tmp_path / "report.html").read_text() == "old"
    kept = {path.name: path.read_text() for path in tmp_path.iterdir()}
    assert kept == {"report.html": "new", "mine.txt": "mine"}


def test_an_own_file_that_is_not_written_anew_goes(tmp_path: Path) -> None:
    (tmp_path / "old.png").write_text("of an earlier run")
    (tmp_path / "mine.txt").write_text("of the user")
    with staged(tmp_path, ["old.png", "page.html"]) as place:
        (place / "page.html").write_text("new")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mine.txt", "page.html"]


def test_a_failure_leaves_no_folder_that_was_not_there(tmp_path: Path) -> None:
    def write_half() -> None:
        with staged(tmp_path / "a" / "b") as place:
            (place / "report.html").write_text("half")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        write_half()
    assert list(tmp_path.iterdir()) == []
