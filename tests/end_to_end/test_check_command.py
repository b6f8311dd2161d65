"""`stoutpost check` on the demo cases and on the shortest case there is."""

import subprocess
import sys
from pathlib import Path

import pytest

from fea.app.command import main
from fea.case.case_file import read_case
from fea.case.key_tree import leaf_fields

CASES = sorted((Path(__file__).parents[2] / "cases").glob("*.toml"))
SHORT = """title = "short"
machine.centre_height = "150 mm"
machine.tool_height = "42 mm"
tool.shank_height = "12 mm"
post.dovetail.width = "42 mm"
"""
# What only a solve, a mesh, a picture or an unusual unit needs; together seconds.
HEAVY = (
    "scipy",
    "pint",
    "rich",
    "rapidfuzz",
    "gmsh",
    "skfem",
    "pyvista",
    "vtkmodules",
    "matplotlib",
    "meshio",
)


def check(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Run the command in this process; return what it prints."""
    with pytest.raises(SystemExit) as done:
        main(["check", *arguments])
    printed = capsys.readouterr()
    assert done.value.code == 0, printed.err
    return printed.out


@pytest.fixture(autouse=True)
def _wide_page(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "250")


@pytest.fixture
def short(tmp_path: Path) -> Path:
    path = tmp_path / "short.toml"
    path.write_text(SHORT, encoding="utf-8")
    return path


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_demo_case_is_understood_with_every_key_shown(
    capsys: pytest.CaptureFixture[str], path: Path
) -> None:
    page = check(capsys, str(path))
    reading = read_case(path)
    assert reading.case.title in page
    assert page.count("default, ") == len(reading.defaults)
    for key in leaf_fields():
        section, _, name = key.rpartition(".")
        assert f"[{section}]" in page or not section
        assert f"  {name} " in page or not section


def test_there_is_a_metric_and_an_inch_case_and_each_says_what_and_why() -> None:
    texts = [path.read_text(encoding="utf-8") for path in CASES]
    assert len(texts) >= 2
    assert any(' in"' in text for text in texts)
    assert any(' mm"' in text for text in texts)
    for path in CASES:
        about = read_case(path).case.about
        assert about.startswith("An invented scenario."), path
        assert len(about.split()) > 60, path


def test_a_short_case_shows_derived_values_and_where_defaults_come_from(
    capsys: pytest.CaptureFixture[str], short: Path
) -> None:
    page = check(capsys, str(short))
    assert "5 keys given" in page
    line = next(row for row in page.splitlines() if row.startswith("  overhang"))
    assert "18 mm" in line
    assert "default, " in line
    assert "1.5 x tool.shank_height [1]" in line
    assert "[1] common practice, no source" in page
    for name in (
        "wall left under the slot",
        "wall between slot and dovetail",
        "tallest shank that reaches centre height",
        "clearance over the slide",
        "length in engagement",
        "overhang over shank height",
        "mass: holder",
        "mass: four-way block",
    ):
        assert name in page
    assert "How it is tightened" in page
    for chain in ("Stud: ", "Clamping screw: ", "holds itself", "of the proof load"):
        assert chain in page
    for caution in ("Guards", "eye protection", "Machine off", "light", "maker"):
        assert caution in page


def test_inches_are_shown_to_who_asks_for_them(
    capsys: pytest.CaptureFixture[str], short: Path
) -> None:
    page = check(capsys, str(short), "--units", "in")
    rows = {row.split()[0]: row.split() for row in page.splitlines() if row.split()}
    # 18 mm; 150 mm; 14.9 mm of stud and so on, four figures.
    assert rows["overhang"][1:3] == ["0.7087", "in"]
    assert rows["centre_height"][1:3] == ["5.906", "in"]
    assert rows["preload"][2] == "lbf"
    assert rows["pressure"][2] == "psi"


@pytest.mark.parametrize("columns", [80, 120])
def test_no_line_is_wider_than_the_page(
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    short: Path,
    columns: int,
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    assert max(map(len, check(capsys, str(short)).splitlines())) <= columns


def test_check_writes_nothing(
    capsys: pytest.CaptureFixture[str], short: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(short.parent)
    assert check(capsys, short.name)
    assert list(short.parent.iterdir()) == [short]


@pytest.mark.parametrize("demo", [None, *CASES], ids=lambda demo: demo and demo.stem)
def test_check_starts_without_what_it_does_not_need(
    short: Path, demo: Path | None
) -> None:
    root = Path(__file__).parents[2]
    program = (
        "import sys\n"
        "from fea.app.command import main\n"
        "try:\n    main(['check', sys.argv[1]])\n"
        "except SystemExit as done:\n    code = done.code\n"
        f"heavy = [name for name in {HEAVY} if name in sys.modules]\n"
        "sys.exit(f'{code} {heavy}')\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", program, str(demo or short)],
        cwd=root,
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.stderr.strip() == "0 []"


def test_help_names_both_commands(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as done:
        main(["--help"])
    page = capsys.readouterr().out
    assert done.value.code == 0
    assert "check" in page
    assert "report" in page


def test_a_title_that_the_terminal_cannot_show_is_no_failure(tmp_path: Path) -> None:
    path = tmp_path / "greek.toml"
    path.write_text(SHORT.replace("short", "Stößel 木"), encoding="utf-8")
    run = subprocess.run(
        [
            sys.executable,
            "-c",
            "from fea.app.command import main; main()",
            "check",
            path,
        ],
        cwd=Path(__file__).parents[2],
        env={"PYTHONIOENCODING": "ascii", "PATH": ""},
        capture_output=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    assert b"St" in run.stdout
