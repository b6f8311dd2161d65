"""What is wrong with a case is one clear message, exit code 2, and nothing written."""

from pathlib import Path

import pytest
from bad_case import ADDED, GOOD, refused, written

from fea.app.command import main


@pytest.fixture(autouse=True)
def _in_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("command", ["check", "report"])
@pytest.mark.parametrize(
    ("added", "said"),
    [
        (
            'tool.overhng = "18 mm"',
            (
                'tool.overhng = "18 mm"',
                "no such key",
                "did you mean tool.overhang?",
                "shank_height",
            ),
        ),
        (
            'machine.overhang = "18 mm"',
            ("machine.overhang", "no such key", "did you mean tool.overhang?"),
        ),
        (
            '[tol]\noverhang = "18 mm"',
            ("[tol]", "no such section", "did you mean tool?"),
        ),
        ("tool.overhang = 18", ("tool.overhang = 18:", "with its unit", '"16 mm"')),
        ('tool.overhang = "18"', ('tool.overhang = "18"', "has no unit", '"5/8 in"')),
        (
            'numerics.accuracy = "0.01 %"',
            ("a share from 0.05 to 20 %", "correct the number"),
        ),
        ("numerics.accuracy = 0.01", ("a share from 0.05", "a number with its sign")),
        ('numerics.accuracy = "1"', ("a share from 0.05", "a number with its sign")),
        ('numerics.accuracy = "1 mm"', ("a share from", 'as "1 %"')),
        ('numerics.accuracy = "small %"', ("a share from", "with its sign")),
        (
            'tool.overhang = "18 N"',
            ('tool.overhang = "18 N"', "is a force, but a length is wanted", '"16 mm"'),
        ),
        (
            'tool.overhang = "18 cubits"',
            ("'cubits', which is not known", "known: mm, cm, m"),
        ),
        (
            'machine.stud.preload = "15 mm"',
            ("machine.stud.preload", "is a length, but a force is wanted", '"15 kN"'),
        ),
        (
            'machine.ways.pressure = "3 kN"',
            ("is a force, but a pressure is wanted", '"0.5 MPa"'),
        ),
        (
            'machine.ground.axial = "60 MPa"',
            ("is a pressure, but a stiffness is wanted", '"60 N/um"'),
        ),
        (
            'cut.entering_angle = "3 mm"',
            ("is a length, but an angle is wanted", '"60 deg"'),
        ),
        ('cut.feed = "3 deg"', ("is an angle, but a feed is wanted", '"0.1 mm/rev"')),
        (
            'tool.overhang = "-18 mm"',
            ('tool.overhang = "-18 mm"', "must be a length from 2 to 250 mm"),
        ),
        ('machine.stud.preload = "-1 N"', ("must be a force from 200 to 400000 N",)),
        ("tool.overhang = nan", ("tool.overhang = nan", "must be a length")),
        (
            'tool.overhang = "nan mm"',
            ('tool.overhang = "nan mm"', "a number with a decimal point"),
        ),
        (
            'tool.overhang = "inf mm"',
            ('tool.overhang = "inf mm"', "a number with a decimal point"),
        ),
        ('tool.overhang = "1e400 mm"', ("must be a finite number",)),
        (
            'tool.length = "3 m"',
            (
                'tool.length = "3 m"',
                "15 to 400 mm (0.591 to 15.7 in)",
                "correct the number or its unit",
            ),
        ),
        ('tool.overhang = "18,5 mm"', ("a number with a decimal point",)),
        ("tool.overhang = true", ("tool.overhang = true", "must be a length")),
        (
            "tool.overhang = ['18 mm']",
            ("tool.overhang = ['18 mm']", "must be a length"),
        ),
        ('tool = "hss"', ("is not TOML",)),
        ('block = "none"', ('block = "none"', "is a section", "write [block]")),
        (
            "holder.screws.count = 2.5",
            ("holder.screws.count = 2.5", "a whole number from 1 to 8"),
        ),
        ("holder.screws.count = 0", ("a whole number from 1 to 8",)),
        (
            'tool.material = "cheese"',
            ('tool.material = "cheese"', "is no known material", "grey iron"),
        ),
        ('tool.material = "carbde"', ("did you mean 'carbide'?",)),
        (
            'work.material = "grey iron"',
            ("is no known work material", "did you mean 'grey_iron'?"),
        ),
        ('base.surface = "polished"', ("is no known joint surface", "scraped")),
        (
            'post.clamping.way = "magnet"',
            ("is no known way of clamping", "wedge, piston, draw, solid"),
        ),
        ("cut.depths = []", ("cut.depths = []", "1 to 200 depths")),
        ('cut.depths = ["2 mm", "1 mm"]', ("sort the list",)),
        ('cut.depths = ["2 N"]', ("is a force, but a length is wanted",)),
        (
            'cut.depths = { from = "1 mm", to = "2 mm" }',
            ("exactly from, to and count",),
        ),
        (
            'cut.depths = { from = "2 mm", to = "1 mm", count = 5 }',
            ("deeper 'to' than 'from'",),
        ),
        ("about = 3", ("about = 3", "text in quotes")),
        ('tool.shank_height = "12 mm"', ("is not TOML", "Cannot overwrite")),
        (
            'holder.floor = "29.8 mm"',
            ("holder.floor = 29.8 mm", "machine.tool_height = 42 mm", "over the slide"),
        ),
    ],
)
def test_a_bad_value_names_file_line_key_and_remedy(
    capsys: pytest.CaptureFixture[str],
    command: str,
    added: str,
    said: tuple[str, ...],
) -> None:
    [line] = refused(capsys, command, written(f"{GOOD}{added}\n"))
    assert line.startswith(f"stoutpost: bad.toml, {ADDED}: ")
    for part in said:
        assert part in line


@pytest.mark.parametrize("command", ["check", "report"])
def test_what_must_be_given_is_asked_for_by_name(
    capsys: pytest.CaptureFixture[str], command: str
) -> None:
    lines = refused(capsys, command, written("\n"))
    missing = [line.split(": ")[2].split(" is missing")[0] for line in lines]
    assert missing == [
        "title",
        "machine.centre_height",
        "machine.tool_height",
        "tool.shank_height",
        "post.dovetail.width",
    ]
    assert "add centre_height under [machine]" in lines[1]
    assert "a length from 30 to 500 mm" in lines[1]


def test_all_that_is_wrong_is_told_at_once_in_the_order_of_the_file(
    capsys: pytest.CaptureFixture[str],
) -> None:
    added = 'tool.overhang = "18 N"\ncut.feed = 3\nwork.metal = "brass"\n'
    lines = refused(capsys, "check", written(GOOD + added))
    assert [line.split(":")[1] for line in lines] == [
        f" bad.toml, line {number}" for number in (6, 7, 8)
    ]


def test_a_file_that_is_not_there_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    [line] = refused(capsys, "check", "nowhere.toml")
    assert "nowhere.toml: cannot be read (no such file or directory)" in line
    assert "check its name" in line


def test_a_folder_is_no_case(capsys: pytest.CaptureFixture[str]) -> None:
    Path("lathe").mkdir()
    [line] = refused(capsys, "check", "lathe")
    assert "lathe: is a folder; name the case file in it" in line


def test_a_device_is_no_case(capsys: pytest.CaptureFixture[str]) -> None:
    [line] = refused(capsys, "check", "/dev/null")
    assert "is not a plain file" in line


def test_a_file_that_may_not_be_read_is_named(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    name = written(GOOD)

    def forbidden(_: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    # The superuser may read everything, so the refusal is made up.
    monkeypatch.setattr(Path, "read_bytes", forbidden)
    [line] = refused(capsys, "check", name)
    assert "bad.toml: cannot be read (permission denied)" in line


def test_text_in_another_encoding_is_named_by_its_line(
    capsys: pytest.CaptureFixture[str],
) -> None:
    name = written(GOOD.encode() + 'about = "Stößel"\n'.encode("latin-1"))
    [line] = refused(capsys, "check", name)
    assert f"bad.toml, {ADDED}: is not UTF-8 text (byte 0xf6)" in line
    assert "save the file as UTF-8" in line


def test_a_huge_file_is_not_read(capsys: pytest.CaptureFixture[str]) -> None:
    [line] = refused(capsys, "check", written("#" * 1_000_001))
    assert "is larger than 1000 kB" in line


@pytest.mark.parametrize(
    ("text", "place"),
    [
        (
            GOOD + "tool.overhang = 18 mm\n",
            "line 6: tool.overhang = 18 mm: is not TOML",
        ),
        (GOOD + "[tool\n", "line 6: [tool: is not TOML"),
        (GOOD + 'about = "open\n', 'line 6: about = "open: is not TOML'),
        (GOOD + 'about = """open\n', "line 6: "),
        ("cut = " + "[" * 5000, "brackets are nested too deep"),
    ],
)
def test_what_is_not_toml_is_named_by_its_line(
    capsys: pytest.CaptureFixture[str], text: str, place: str
) -> None:
    [line] = refused(capsys, "check", written(text))
    assert place in line


def test_a_tower_of_powers_is_refused_at_once(
    capsys: pytest.CaptureFixture[str],
) -> None:
    added = 'tool.overhang = "1 mm**9**9**9**9"\n'
    [line] = refused(capsys, "check", written(GOOD + added))
    assert "which is not known" in line


@pytest.mark.parametrize(
    "arguments", [["check"], ["chek", "x"], ["check", "x", "--up"]]
)
def test_a_slip_on_the_command_line_is_told_without_a_traceback(
    capsys: pytest.CaptureFixture[str], arguments: list[str]
) -> None:
    with pytest.raises(SystemExit) as done:
        main(arguments)
    printed = capsys.readouterr()
    assert done.value.code == 2
    assert "Usage: stoutpost" in printed.err


def test_a_folder_that_cannot_be_written_is_told_before_anything_is_computed(
    capsys: pytest.CaptureFixture[str],
) -> None:
    name = written(GOOD)
    Path("taken").write_text("a file, not a folder", encoding="utf-8")
    [line] = refused(capsys, "report", name, "--out", "taken")
    assert "output folder = 'taken'" in line
    assert "choose another" in line
