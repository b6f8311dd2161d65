"""`stoutpost fit`: the demo's test day fitted on a coarse mesh, and what is refused."""

import csv
import json
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from bad_case import refused
from PIL import Image

from fea.analysis.member import Group
from fea.app.command import main
from fea.case.case_file import read_case
from fea.case.schema import Case
from fea.core.archive import key_of
from fea.report.fit_summary import FitSummary
from fea.report.fit_write import FILES, PAGE, PICTURES, SETS, SUMMARY
from fea.study.run import journal_of

CASES = Path(__file__).parents[2] / "cases"
DEMO = CASES / "garden_railway.toml"
RECORDS = sorted((CASES / "garden_railway_records").glob("*.csv"))
TORQUE, OWN, LESS = "holder.screws.torque", "3.7 N m", "2.5 N m"
STUDY = f"""
[study.variables]
"{TORQUE}" = ["{OWN}", "{LESS}"]
"""
RATIO = "stiffness_ratio"
OLD = b"of an earlier fit"
FEW = 8
"""Sets of constants; bands are not what is asked of a report here."""
PUSH_HEADER, PUSH_ROW = (
    "stack,force,pushed part,pushed radial [mm],pushed axial [mm],"
    "pushed vertical [mm],push direction,read part,reading [um],uncertainty [um],"
    "read direction,phase",
    "quick-change,10 kgf,{},radial,tip,7,1,radial,loading",
)


@pytest.fixture(scope="module")
def coarse(coarse_case: Case, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the demo's file: coarse mesh, few cuts, a study of two designs."""
    path = tmp_path_factory.mktemp("case") / "garden_railway.toml"
    size = f'\n[numerics]\nmesh_size = "{coarse_case.numerics.mesh_size} mm"\n'
    text = DEMO.read_text(encoding="utf-8").replace("count = 20", "count = 3")
    path.write_text(text + size + STUDY, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def user_cache(
    cache_folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Path]:
    """Make the tests' cache the user's, for processes that are started too."""
    home = tmp_path_factory.mktemp("home")
    (home / "stoutpost").symlink_to(cache_folder)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(home))
        yield cache_folder


@pytest.fixture(scope="module")
def written(coarse: Path, user_cache: Path) -> Path:
    """Fit the demo to its test day once, with its study; return the folder."""
    out = coarse.parent / "out"
    out.mkdir()
    for name in PICTURES:
        (out / name).write_bytes(OLD)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("os.cpu_count", lambda: 1)
        records = map(str, RECORDS)
        assert (
            exit_code("fit", str(coarse), *records, "--study", "--out", str(out)) == 0
        )
    return out


def exit_code(*arguments: str) -> object:
    with pytest.raises(SystemExit) as done:
        main(arguments)
    return done.value.code


def test_everything_is_written_and_pictures_are_no_blanks(written: Path) -> None:
    missing = {name for name in FILES if not (written / name).is_file()}
    # As many sketches as there are measurements worth making.
    assert missing <= {"fit_next_2.png", "fit_next_3.png"}
    names = {path.name for path in written.iterdir()}
    journals = {name for name in names if Path(name).suffix == ".jsonl"}
    assert len(journals) == 2, "one of the case, one of the calibrated case"
    assert names - journals <= set(FILES)
    for name in set(PICTURES) - missing:
        assert (written / name).read_bytes() != OLD, "an earlier fit's went"
        with Image.open(written / name) as image:
            assert min(image.size) > 500
            assert len(image.convert("L").getcolors() or ()) > 10, name


def test_the_slides_are_found_softer_and_the_model_is_not_refuted(
    written: Path,
) -> None:
    text = (written / SUMMARY).read_text(encoding="utf-8")
    summary = FitSummary.model_validate_json(text)
    assert not summary.refutation.refuted
    after = {b.group: b.share.after[1] or 0.0 for b in summary.quick_change.blame}
    before = {b.group: b.share.before[1] or 0.0 for b in summary.quick_change.blame}
    # The invented machine's ways and ground are softer than is expected.
    assert after[Group.SLIDES] > before[Group.SLIDES]
    assert max(after, key=after.__getitem__) is Group.SLIDES
    stiffness = summary.quick_change.stiffness_n_per_um
    low, _, high = stiffness.after
    wide = (stiffness.before[2] or 0.0) - (stiffness.before[0] or 0.0)
    assert 0.0 < (high or 0.0) - (low or 0.0) < wide / 2.0


def test_the_page_is_one_file_with_the_verdict_first(written: Path) -> None:
    page = (written / PAGE).read_text(encoding="utf-8")
    assert "http" not in page.replace("http-equiv", "")
    order = [
        page.index(each)
        for each in (
            'aria-label="Verdict"',
            "The records do not refute the model",
            "<h2>Which design to make now",
            "<h2>Pictures",
            "<h2>What to measure next",
            "<h2>Numbers",
            "<h2>Before you measure or cut",
        )
    ]
    assert order == sorted(order)


def test_readings_and_samples_open_in_a_spreadsheet(written: Path) -> None:
    summary = json.loads((written / SUMMARY).read_text(encoding="utf-8"))
    for name, count in (
        ("readings.csv", len(summary["readings"])),
        (SETS, summary["samples"]["sets"]),
    ):
        with (written / name).open(encoding="utf-8", newline="") as file:
            rows = list(csv.reader(file))
        assert len(rows) == count + 1
        assert len({len(row) for row in rows}) == 1


def test_the_calibrated_case_is_read_again_and_not_fitted_twice(
    written: Path, coarse: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    calibrated = written / "calibrated.toml"
    case = read_case(calibrated).case
    assert case.calibration.constants
    assert case.tool == read_case(coarse).case.tool
    with pytest.raises(SystemExit) as done:
        main(["fit", str(calibrated), str(RECORDS[0]), "--out", str(written / "x")])
    assert done.value.code == 2
    assert "the case is calibrated already" in capsys.readouterr().err
    assert not (written / "x").exists()


def test_the_study_is_compared_with_the_fitted_constants(
    written: Path, user_cache: Path
) -> None:
    page = (written / PAGE).read_text(encoding="utf-8")
    assert "<h3>Designs recommended</h3>" in page
    text = (written / SUMMARY).read_text(encoding="utf-8")
    summary = FitSummary.model_validate_json(text)
    study = summary.study
    assert study is not None
    assert study.before is not None
    assert study.after is not None
    # The invented machine is softer than expected, whichever design stands on it.
    for one in (study.before, study.after):
        for column in ("stiffness_n_per_um", "four_way_n_per_um"):
            assert (one.fitted[column] or 0.0) < (one.expected[column] or 0.0)
    old, new = (one.fitted[RATIO] or 0.0 for one in (study.before, study.after))
    assert study.shortfall == pytest.approx(1.0 - old / new)
    assert study.changed == (study.before.values != study.after.values)
    assert study.words in unescape(page).replace("\u00a0", " ")


@pytest.mark.parametrize("command", ["check", "sheet", "export"])
def test_the_calibrated_case_serves_other_commands(
    written: Path, user_cache: Path, tmp_path: Path, command: str
) -> None:
    calibrated = str(written / "calibrated.toml")
    out = [] if command == "check" else ["--out", str(tmp_path / "out")]
    assert exit_code(command, calibrated, *out) == 0


def test_a_study_of_the_calibrated_case_computes_nothing_that_the_fit_did(
    written: Path, user_cache: Path, tmp_path: Path
) -> None:
    before = set(user_cache.iterdir())
    calibrated, out = str(written / "calibrated.toml"), tmp_path / "out"
    assert exit_code("study", calibrated, "--workers", "1", "--out", str(out)) == 0
    assert set(user_cache.iterdir()) == before
    (journal,) = out.glob("*.jsonl")
    assert sorted(journal.read_text().split("\n")) == sorted(
        (written / journal.name).read_text().split("\n")
    )
    with (out / "study.csv").open(encoding="utf-8", newline="") as file:
        assert [row[TORQUE] for row in csv.DictReader(file)] == [OWN, LESS]


def test_a_report_of_the_calibrated_case_has_the_stiffness_of_its_study(
    written: Path, user_cache: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("fea.analysis.chatter.advice", lambda *_: ())
    monkeypatch.setattr("fea.report.write.gallery", lambda *_: ())
    for module in ("draw", "common_draw", "mode_samples", "chatter_samples"):
        monkeypatch.setattr(f"fea.analysis.{module}.SAMPLES", FEW)
    out = tmp_path / "out"
    calibrated = written / "calibrated.toml"
    assert exit_code("report", str(calibrated), "--out", str(out)) == 0
    report = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    journal = journal_of(read_case(calibrated), written).read()
    own = journal[key_of({TORQUE: OWN})].row
    # A study reduces parts less finely, which changes no cut but by round-off.
    assert report["quick_change"]["stiffness_n_per_um"] == pytest.approx(
        own["stiffness_n_per_um"], rel=1e-6
    )


def test_a_case_without_a_study_is_refused_before_anything_is_computed(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("fea.measurement.fit_records.fit_records", None)
    (line,) = refused(
        capsys, "fit", str(DEMO), str(RECORDS[0]), "--study", "--out", "out"
    )
    assert "garden_railway.toml: study.variables is missing" in line
    assert "or leave out --study" in line


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        (
            "four-way,10 kgf,holder,9,5,0,radial,tip,7,1,radial,loading",
            "has no holder",
        ),
        ("quick-change,10 kg,tip,,,,radial,tip,7,1,radial,loading", "mass"),
        ("quick-change,10 kgf,tip,,,,inward,tip,7,1,radial,loading", "direction"),
    ],
)
def test_wrong_records_are_refused_before_anything_is_computed(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    rows: str,
    says: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("push.csv").write_text(f"{PUSH_HEADER}\n{rows}\n", encoding="utf-8")
    lines = refused(capsys, "fit", str(DEMO), "push.csv", "--out", "out")
    assert len(lines) == 1
    assert "push.csv, line 2" in lines[0]
    assert says in lines[0]


def test_a_record_that_is_not_there_and_a_folder_that_cannot_be_are_refused(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    (line,) = refused(capsys, "fit", str(DEMO), "none.csv", "--out", "out")
    assert "none.csv: cannot be read" in line
    Path("file").write_text("x")
    (line,) = refused(capsys, "fit", str(DEMO), str(RECORDS[0]), "--out", "file")
    assert "output folder = 'file'" in line


def test_a_spot_off_its_part_is_named_by_file_and_line(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    coarse: Path,
    cache_folder: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("fea.analysis.build.default_cache", lambda: cache_folder)
    good = PUSH_ROW.format("tip,,,")
    off = PUSH_ROW.format("post body,300,60,0")
    Path("push.csv").write_text(f"{PUSH_HEADER}\n{good}\n{off}\n", encoding="utf-8")
    with pytest.raises(SystemExit) as done:
        main(["fit", str(coarse), "push.csv", "--out", "out"])
    assert done.value.code == 2
    printed = capsys.readouterr()
    (line,) = [each for each in printed.err.splitlines() if "stoutpost:" in each]
    assert "push.csv, line 3: spot at radial 300" in line
    assert "mm off the surface of the post body" in line
    assert printed.out == ""
    assert not Path("out").exists()
