"""`stoutpost sheet`: one page that stands alone, whole or not at all."""

import re
from pathlib import Path

import pytest
from bad_case import refused, written

from fea.app.command import main
from fea.case.caution import ALWAYS
from fea.report.shop_sheet import DRAWING_PDF, DRAWING_SVG, FILES, PAGE

CASES = sorted((Path(__file__).parents[2] / "cases").glob("*.toml"))


def sheet(capsys: pytest.CaptureFixture[str], *arguments: str) -> Path:
    """Run the command in this process; return the page that it names."""
    with pytest.raises(SystemExit) as done:
        main(["sheet", *arguments])
    printed = capsys.readouterr()
    assert done.value.code == 0, printed.err
    return Path(printed.out.strip())


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_demo_case_gets_its_page_and_the_drawing_apart(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, path: Path, units: str
) -> None:
    out = tmp_path / "out"
    page = sheet(capsys, str(path), "--out", str(out), "--units", units)
    assert page == out / PAGE
    assert {file.name for file in out.iterdir()} == set(FILES)
    text = page.read_text(encoding="utf-8")
    for heading in ("Limits", "Dovetails over pins", "Torques", "Stock", "Order"):
        assert f"<h2>{heading}" in text
    for caution in ALWAYS:
        assert caution.replace("'", "&#39;") in text
    assert "@page { size: A4" in text
    assert ("[in]" in text) == (units == "in")
    assert not re.findall(r"(?:src|href)=\"(?!#)", text), "must open offline"
    assert (out / DRAWING_SVG).read_text(encoding="utf-8").startswith("<?xml")
    assert (out / DRAWING_PDF).read_bytes().startswith(b"%PDF")


def test_the_same_case_gives_the_same_page(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    pages = [
        sheet(capsys, str(CASES[0]), "--out", str(tmp_path / name)).parent
        for name in ("one", "two")
    ]
    for name in FILES:
        assert (pages[0] / name).read_bytes() == (pages[1] / name).read_bytes()


def test_a_case_that_is_refused_and_a_folder_that_cannot_be_made_leave_nothing(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    lines = refused(capsys, "sheet", written("title = 3\n"))
    assert "bad.toml" in lines[0]
    Path("notes").write_text("mine")
    lines = refused(capsys, "sheet", str(CASES[0]), "--out", "notes")
    assert lines[0].startswith("stoutpost: output folder = 'notes'")
