"""A record that cannot be true, or be read, is refused and told what looks wrong."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from fea.measurement.read_records import read_records
from geometry.errors import InputError

PUSH = (
    "stack,force [N],pushed part,push direction,read part,read direction,"
    "reading [um],uncertainty [um],phase"
)
GOOD_PUSH = "four-way,200,tip,radial,tip,radial,20,1,loading"
SPRING = (
    "stack,depth [mm],feed [mm],pass,diameter set [mm],diameter got [mm],"
    "uncertainty [um]"
)
CUT = (
    "stack,depth [mm],speed [rpm],feed [mm],deflection [um],uncertainty [um],seen,"
    "chatter"
)
TAP = (
    "stack,struck part,strike direction,recording,frequency [Hz],"
    "frequency uncertainty [Hz],damping [%],damping uncertainty [%]"
)


def refusal(folder: Path, *lines: str) -> str:
    path = folder / "test.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_records([path])
    return str(caught.value)


def pushed(**cells: str) -> str:
    """Return the good row with some cells changed."""
    names = ("stack", "force", "at", "along", "read", "way", "reading", "sd", "phase")
    values = dict(zip(names, GOOD_PUSH.split(","), strict=True))
    return ",".join((values | cells).values())


def test_the_good_row_is_good(tmp_path: Path) -> None:
    path = tmp_path / "test.csv"
    path.write_text(f"{PUSH}\n{GOOD_PUSH}\n")
    assert len(read_records([path]).pushes) == 1


def test_millimetres_under_a_header_of_micrometres_are_noticed(tmp_path: Path) -> None:
    text = refusal(tmp_path, PUSH, pushed(reading="0.020", sd="0.001"))
    assert "line 2, column 'uncertainty': 0.001 um" in text
    assert "the number were in mm" in text


def test_readings_alone_in_millimetres_are_noticed(tmp_path: Path) -> None:
    rows = [pushed(reading=r, force=f) for r, f in (("0.01", "100"), ("0.02", "200"))]
    text = refusal(tmp_path, PUSH, *rows)
    assert "0.01 um at 100 N makes 1e+04 N/um" in text
    assert "the number were in mm" in text


def test_micrometres_under_a_header_of_millimetres_are_noticed(tmp_path: Path) -> None:
    header = PUSH.replace("reading [um]", "reading [mm]")
    text = refusal(tmp_path, header, pushed(reading="4.5", sd="1"))
    assert "0.0444 N/um" in text
    assert "the number were in um" in text


@pytest.mark.parametrize(
    "lines",
    [
        (PUSH, pushed(force="20 kg")),
        (PUSH.replace("[N]", "[kg]"), pushed(force="20")),
        (PUSH.replace("[N]", "[lb]"), pushed(force="20")),
    ],
)
def test_a_mass_is_no_force(lines: Sequence[str], tmp_path: Path) -> None:
    text = refusal(tmp_path, *lines)
    assert "column 'force" in text
    assert "write kgf or N" in text


def test_a_flipped_sign_is_noticed_where_force_and_reading_meet(tmp_path: Path) -> None:
    text = refusal(tmp_path, PUSH, pushed(reading="-20"))
    assert "line 2, column 'reading': -20 um at 200 N" in text
    assert "moves against the force" in text
    text = refusal(tmp_path, PUSH, pushed(way="-radial"))
    assert "moves against the force" in text


def test_a_far_point_may_move_against_the_force(tmp_path: Path) -> None:
    path = tmp_path / "test.csv"
    header = PUSH.replace("read part", "read part,read radial,read axial,read vertical")
    far = GOOD_PUSH.replace("tip,radial,20", "top slide,90 mm,150 mm,-42 mm,radial,-8")
    path.write_text(f"{header}\n{far}\n")
    assert read_records([path]).pushes[0].reading_um == pytest.approx(-8.0)


def test_a_misspelt_header_is_offered_its_nearest(tmp_path: Path) -> None:
    text = refusal(tmp_path, PUSH.replace("reading [um]", "raeding [um]"), GOOD_PUSH)
    assert "line 1, column 'raeding [um]'" in text
    assert "did you mean 'reading [um]'?" in text
    assert "'reading [um]' is missing" in text


def test_a_header_of_no_kind_is_refused(tmp_path: Path) -> None:
    text = refusal(tmp_path, "colour,taste", "red,sweet")
    assert "no kind of record has the columns colour, taste" in text
    assert "push, spring, cut, tap" in text


def test_a_unit_is_nowhere_by_default(tmp_path: Path) -> None:
    text = refusal(tmp_path, PUSH.replace("reading [um]", "reading"), GOOD_PUSH)
    assert "column 'reading': \"20\" has no unit; write 'reading [um]'" in text


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ([pushed(phase="unloading")], "unloading, but no loading"),
        (
            [pushed(force="100", reading="10"), pushed(phase="unloading")],
            "unloading at 200 N, above the largest load before it, 100 N",
        ),
        (
            [
                GOOD_PUSH,
                pushed(force="50", reading="8", phase="unloading"),
                pushed(force="100", reading="12", phase="unloading"),
            ],
            "the force grows from 50 to 100 N",
        ),
        (
            [
                pushed(force="100", reading="15"),
                GOOD_PUSH,
                pushed(force="100", reading="9", phase="unloading"),
            ],
            r"9 um on the way down, but 15 um at the same 100 N .* \(line 2\)",
        ),
        ([pushed(force="0", reading="9")], "9 um without any force"),
    ],
)
def test_loading_and_unloading_have_an_order(
    rows: Sequence[str], says: str, tmp_path: Path
) -> None:
    path = tmp_path / "test.csv"
    path.write_text("\n".join([PUSH, *rows]))
    with pytest.raises(InputError, match=says):
        read_records([path])


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ((), "holds no table"),
        (("# nothing yet",), "holds no table, only 1 empty lines and comments"),
        ((PUSH,), "line 1: there is a header but no row"),
        ((PUSH, GOOD_PUSH + ",1,5"), "line 2: has 11 cells.*decimal"),
        ((PUSH, pushed(reading="")), "line 2, column 'reading': is empty"),
        ((PUSH, pushed(reading="twenty")), '"twenty" must be a length'),
        ((PUSH, pushed(reading="20 N")), "is a force, but a length is wanted"),
        ((PUSH, pushed(force="9000")), "from 0 to 5000 N"),
        ((PUSH, pushed(along="inward")), "is no known direction"),
        ((PUSH, pushed(along="0 0 0")), "points nowhere"),
        ((PUSH, pushed(at="holder")), "line 2: the four-way stack has no holder"),
        ((PUSH, pushed(at="top slide")), "no known|where on the top slide"),
        ((PUSH, pushed(at="post")), "is no known part"),
        ((PUSH, '"four-way,200'), "line 2: cannot be split"),
        ((f"{PUSH},phase", f"{GOOD_PUSH},loading"), "stands twice"),
        ((SPRING, "four-way,0.5,0.1,1,19,29,4"), r"\+10 mm off the set 19 mm"),
        (
            (SPRING, "four-way,0.5,0.1,1,19,19.01,2", "four-way,0.5,0.1,2,19,19.03,2"),
            "line 3.*pass 2 leaves 20 um more than pass 1",
        ),
        ((SPRING, "four-way,0.5,0.1,1.5,19,19.01,2"), "is no known pass"),
        ((CUT, "four-way,1,710,0.1,,,,"), "all empty; fill at least one"),
        ((CUT, "four-way,1,710,0.1,20,,,"), "without its uncertainty"),
        ((CUT, "four-way,1,710,0.1,2000,20,,"), "more than the whole depth of cut"),
        ((CUT, "four-way,1,710,0.1,,,a lot,"), "is no known grade"),
        ((TAP, "four-way,tip,down,,230,,3,0.2"), "frequency uncertainty left empty"),
        ((TAP, "four-way,tip,down,a.wav,230,1,3,0.2"), "and gives its peak too"),
        (
            (TAP, "four-way,tip,down,a.wav,,,,"),
            "line 2, column 'recording': a.wav is not there",
        ),
        ((TAP, "four-way,tip,down,,230,1,60,0.2"), "share of critical damping from"),
    ],
)
def test_what_cannot_be_read_says_where_and_why(
    lines: Sequence[str], says: str, tmp_path: Path
) -> None:
    path = tmp_path / "test.csv"
    path.write_text("\n".join(lines))
    with pytest.raises(InputError, match=r"test\.csv") as caught:
        read_records([path])
    caught.match(says)


def test_many_faults_are_counted(tmp_path: Path) -> None:
    text = refusal(tmp_path, PUSH, *[pushed(force="20 kg")] * 30)
    assert len(text.splitlines()) == 9
    assert text.endswith("and 22 more")


def test_a_file_that_is_no_text_or_not_there_is_named(tmp_path: Path) -> None:
    path = tmp_path / "sheet.xlsx"
    path.write_bytes(b"PK\3\4\0\0\0\0")
    with pytest.raises(InputError, match=r"sheet\.xlsx: is not plain text"):
        read_records([path])
    with pytest.raises(InputError, match=r"gone\.csv: cannot be read"):
        read_records([tmp_path / "gone.csv"])


def test_a_file_given_twice_would_count_twice(tmp_path: Path) -> None:
    path = tmp_path / "test.csv"
    path.write_text(f"{PUSH}\n{GOOD_PUSH}\n")
    with pytest.raises(InputError, match="given twice"):
        read_records([path, path])
