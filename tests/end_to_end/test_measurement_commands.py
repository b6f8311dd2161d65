"""`stoutpost record` and `stoutpost tap`: a file to fill in, and picks to look at."""

from pathlib import Path

import pytest
from bad_case import refused
from PIL import Image

from fea.app.command import main
from fea.app.record_command import KINDS
from fea.app.tap_command import PICTURE, TABLE
from fea.measurement.read_records import read_records
from fea.measurement.record_kinds import KINDS as ALL

RECORDS = Path(__file__).parents[2] / "cases" / "garden_railway_records"
LARGEST_RECORDING_KB = 300
TAP = ("--stack", "four-way", "--along", "radial")


def ran(capsys: pytest.CaptureFixture[str], *arguments: str) -> list[str]:
    """Run the command in this process; return the lines that it prints."""
    with pytest.raises(SystemExit) as done:
        main(arguments)
    printed = capsys.readouterr()
    assert done.value.code == 0, printed.err
    return printed.out.splitlines()


def test_a_record_file_of_every_kind_is_written_and_never_overwritten(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert set(KINDS) == set(ALL)
    for kind in KINDS:
        (path,) = ran(capsys, "record", kind)
        assert path == f"{kind}.csv"
        Path(path).write_text("mine")
        lines = refused(capsys, "record", kind)
        assert lines[0].startswith(f"stoutpost: --out = {kind}.csv: exists already")
        assert Path(path).read_text() == "mine"
    assert ran(capsys, "record", "push", "--out", "second.csv") == ["second.csv"]
    lines = refused(capsys, "record", "push", "--out", "nowhere/push.csv")
    assert "cannot be written" in lines[0]


def test_recordings_become_a_picture_and_records_that_can_be_read(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    wave = RECORDS / "taps_four_way.wav"
    assert wave.stat().st_size <= LARGEST_RECORDING_KB * 1000
    place = ("--struck", "four-way block", "--struck-at", "98mm", "35 mm", "-0.5 in")
    heard = ("--heard", "top slide", "--heard-at", "0mm", "20mm", "-42mm")
    out = tmp_path / "out"
    lines = ran(capsys, "tap", str(wave), *TAP, *place, *heard, "--out", str(out))
    assert lines[-2:] == [str(out / TABLE), str(out / PICTURE)]
    assert lines[0] == "Tap test, 6 taps in taps_four_way.wav."
    taps = read_records([out / TABLE]).taps
    assert [f"{tap.frequency_hz:.1f}" for tap in taps] == [
        line.split()[0] for line in lines if "damping" in line
    ]
    assert taps[0].struck.z_mm == pytest.approx(-12.7)
    assert taps[0].heard is not None
    assert taps[0].heard.part == "top slide"
    # The same as from a record file that names the recording, to the digits written.
    direct = [
        t for t in read_records([RECORDS / "tap.csv"]).taps if t.stack == "four-way"
    ]
    for tap, other in zip(taps, direct, strict=True):
        assert tap.frequency_hz == pytest.approx(other.frequency_hz, rel=1e-4)
        assert tap.damping_ratio == pytest.approx(other.damping_ratio, rel=1e-4)
        assert tap.damping_sd == pytest.approx(other.damping_sd, rel=1e-4)
    with Image.open(out / PICTURE) as image:
        assert min(image.size) > 500
        assert len(image.convert("L").getcolors() or ()) > 10, "an empty picture"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--struck", "holder"), "--struck = holder: the four-way stack has no holder"),
        (("--struck", "top slide"), "where on the top slide?"),
        (("--struck", "top slide", "--struck-at", "1", "2mm", "3mm"), "has no unit"),
        (("--along", "inward"), "--along = inward: is no known direction"),
        (("--force-channel", "2"), "the file has 1 channel"),
    ],
)
def test_a_tap_that_cannot_be_placed_is_refused_and_leaves_nothing(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    arguments: tuple[str, ...],
    says: str,
) -> None:
    wave = str(RECORDS / "taps_four_way.wav")
    out = tmp_path / "out"
    lines = refused(capsys, "tap", wave, *TAP, *arguments, "--out", str(out))
    assert says in lines[0]
    assert not out.exists()
