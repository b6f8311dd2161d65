"""Record files are read as they are written, whatever their units and separators."""

from math import sqrt
from pathlib import Path

import pytest

from fea.measurement.plausible_limit import load_limits
from fea.measurement.read_records import read_records
from fea.measurement.record import Heading, Records, Source, Spot
from fea.measurement.record_kinds import KINDS
from fea.measurement.record_template import record_template
from geometry.errors import InputError

CASES = Path(__file__).parents[3] / "cases/garden_railway_records"
PUSH = (
    "stack,force [N],pushed part,push direction,read part,read radial [mm],"
    "read axial [mm],read vertical [mm],read direction,reading [um],uncertainty [um],"
    "phase,overhang [mm]\n"
)


def read(folder: Path, text: str) -> Records:
    path = folder / "records.csv"
    path.write_text(text, encoding="utf-8")
    return read_records([path])


def test_a_push_is_read_in_machine_axes_and_internal_units(tmp_path: Path) -> None:
    row = (
        "four-way,20 kgf,tip,down,top slide,1 in,20,-42,0 -3 -4,0.5 thou,1,unloading,\n"
    )
    loading = row.replace("unloading", "").replace("0.5 thou", "0.4 thou")
    _, push = read(tmp_path, f"# by hand\n{PUSH}\n{loading}{row}").pushes
    assert push.stack == "four-way"
    assert push.force_n == pytest.approx(196.133, rel=1e-9)  # 20 x 9.80665
    assert push.force_at == Spot(part="tool bit", x_mm=0.0, y_mm=0.0, z_mm=0.0)
    assert push.force_along == Heading(x=0.0, y=0.0, z=-1.0)
    assert push.read_at == Spot(part="top slide", x_mm=25.4, y_mm=20.0, z_mm=-42.0)
    assert (push.read_along.y, push.read_along.z) == pytest.approx((-0.6, -0.8))
    assert push.reading_um == pytest.approx(12.7)
    assert (push.phase, push.overhang_mm) == ("unloading", None)
    assert push.source == Source(file="records.csv", line=5)


def test_a_phase_left_empty_is_loading(tmp_path: Path) -> None:
    (push,) = read(tmp_path, PUSH + "four-way,100,tip,down,tip,,,,down,9,1\n").pushes
    assert push.phase == "loading"


def test_headings_have_unit_length(tmp_path: Path) -> None:
    text = PUSH + "four-way,100,tip,1 0 -2,tip,,,,down,9,1\n"
    (push,) = read(tmp_path, text).pushes
    along = push.force_along
    assert sqrt(along.x**2 + along.y**2 + along.z**2) == pytest.approx(1.0, rel=1e-12)
    assert along.z / along.x == pytest.approx(-2.0, rel=1e-12)


def test_cuts_may_tell_one_thing_only(tmp_path: Path) -> None:
    text = (
        "stack;depth [mm];speed;feed [thou];seen;threshold [um];chatter\n"
        "four-way;1;710 rpm;4;none seen;;\n"
        "four-way;2;710 rpm;4;;;yes\n"
    )
    graded, heard = read(tmp_path, text).cuts
    assert (graded.seen, graded.chatter, graded.threshold_um) == ("none", None, None)
    assert graded.feed_mm == pytest.approx(0.1016)
    assert (heard.seen, heard.chatter, heard.deflection_um) == (None, True, None)


def test_a_file_from_a_spreadsheet_is_read(tmp_path: Path) -> None:
    """With its byte order mark, Windows line ends, quoted comments and empty tails."""
    path = tmp_path / "spring.csv"
    text = (
        '"# by hand, with commas",,,,,,\r\n,,,,,,\r\n'
        "Stack,Depth (mm),Feed (mm/rev),Pass,Diameter set (mm),Diameter got (mm),"
        "Uncertainty (µm),,\r\nfour-way,0.5,0.1,1,19,19.02,4,,\r\n"
    )
    path.write_bytes(text.encode("utf-8-sig"))
    (one,) = read_records([path]).springs
    assert (one.passes, one.diameter_got_mm) == (1, 19.02)
    assert one.uncertainty_um == pytest.approx(4.0)
    path.write_bytes(text.encode("cp1252"))
    assert read_records([path]).springs == (one,)


def test_the_demo_test_day_is_read_and_says_that_it_is_invented() -> None:
    paths = sorted(CASES.glob("*.csv"))
    records = read_records(paths)
    assert min(map(len, (records.pushes, records.springs, records.cuts))) >= 8
    assert {tap.stack for tap in records.taps} == {"quick-change", "four-way"}
    for path in paths:
        assert "Invented" in path.read_text(encoding="utf-8").splitlines()[0]


@pytest.mark.parametrize("name", KINDS)
def test_a_template_is_filled_in_by_taking_off_its_marks(
    name: str, tmp_path: Path
) -> None:
    """Its example rows, moved below the header, are records of that kind."""
    kind = KINDS[name]
    text = record_template(kind)
    rows = [row for row in kind.examples if "taps_down.wav" not in row]
    loading = [row.replace("unloading", "loading") for row in rows]
    records = read(tmp_path, text + "\n".join(loading))
    found = (*records.pushes, *records.springs, *records.cuts, *records.taps)
    assert len(found) == len(rows)


@pytest.mark.parametrize("name", KINDS)
def test_a_template_explains_every_column_and_every_caution(name: str) -> None:
    text = record_template(KINDS[name])
    flat = " ".join(line.lstrip("# ") for line in text.splitlines())
    assert all(f"{column.name}" in flat for column in KINDS[name].columns)
    assert all(caution in flat for caution in KINDS[name].cautions)
    assert "unable to start" in flat or "Guards in place" in flat
    assert "eye protection" in flat or name == "push"


@pytest.mark.parametrize("name", KINDS)
def test_a_template_without_rows_says_so(name: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="a header but no row"):
        read(tmp_path, record_template(KINDS[name]))


def test_plausible_limits_have_an_order() -> None:
    assert all(limit.low < limit.high for limit in load_limits().values())
