"""`stoutpost study`: the same table by any number of workers, and after any end."""

import csv
import json
import os
import subprocess
import sys
import time
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from bad_case import refused
from small_study import grid, write_small_study

from fea.app.command import main
from fea.case.study_measure import MEASURES

SOON = 0.1
PATIENCE = 120.0
IMPOSSIBLE = "90 mm"
STUDY = grid(["40 mm", "44 mm", IMPOSSIBLE], ["1 mm"])


def started(case: Path, out: Path, cache: Path, *more: str) -> "subprocess.Popen[str]":
    """Start the command as a user does, with a cache of its own."""
    return subprocess.Popen(
        [sys.executable, "-m", "fea", "study", str(case), "--out", str(out), *more],
        env={**os.environ, "XDG_CACHE_HOME": str(cache)},
        cwd=Path(__file__).parents[2],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


def finished(case: Path, out: Path, cache: Path, *more: str) -> str:
    """Run the command to its end; return what it prints."""
    process = started(case, out, cache, *more)
    printed, said = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0, said
    assert "Traceback" not in said
    return printed


def journalled(out: Path) -> list[str]:
    """Return the keys of the designs that a folder's journal holds."""
    lines = [
        line
        for path in out.glob("*.jsonl")
        for line in path.read_text(encoding="utf-8").splitlines()
    ]
    return [json.loads(line)["key"] for line in lines if line.strip()]


def until_one_design_is_done(process: "subprocess.Popen[str]", out: Path) -> None:
    end = time.monotonic() + PATIENCE
    while not journalled(out):
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < end
        time.sleep(SOON)


def kept(cache: Path) -> Mapping[Path, int]:
    return {path: path.stat().st_mtime_ns for path in cache.rglob("*.npz")}


def workers_of(process: "subprocess.Popen[str]") -> Iterator[int]:
    """Processes of a started command that still live, itself included."""
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = path.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        state, session = fields[0], int(fields[3])
        if session == process.pid and state != "Z":
            yield int(path.parent.name)


@pytest.fixture(scope="module")
def undisturbed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A case and the folder of a study on two workers that nothing stopped."""
    folder = tmp_path_factory.mktemp("undisturbed")
    case, out = write_small_study(folder, STUDY), folder / "out"
    page = finished(case, out, folder / "cache", "--workers", "2")
    assert Path(page.strip()) == out / "study.html"
    return case, out


def rows_of(out: Path) -> list[dict[str, str]]:
    with (out / "study.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_killed_in_the_middle_and_resumed_on_one_worker_it_gives_the_same_table(
    undisturbed: tuple[Path, Path], tmp_path: Path
) -> None:
    case, reference = undisturbed
    out, cache = tmp_path / "out", tmp_path / "cache"
    process = started(case, out, cache, "--workers", "1")
    until_one_design_is_done(process, out)
    process.kill()
    process.communicate()
    before, files = journalled(out), kept(cache)
    assert len(before) == 1
    end = time.monotonic() + PATIENCE
    while any(workers_of(process)) and time.monotonic() < end:
        time.sleep(SOON)
    assert not any(workers_of(process)), "its workers end with it"

    finished(case, out, cache, "--workers", "1")
    assert (out / "study.csv").read_bytes() == (reference / "study.csv").read_bytes()
    after = journalled(out)
    assert after[: len(before)] == before
    assert len(set(after)) == len(after) == 2, "nothing is done twice"
    assert files.items() <= kept(cache).items()


def test_a_finished_study_is_read_and_not_computed(
    undisturbed: tuple[Path, Path], tmp_path: Path
) -> None:
    case, out = undisturbed
    before = (out / "study.csv").read_bytes()
    finished(case, out, tmp_path / "empty")
    assert (out / "study.csv").read_bytes() == before
    assert not kept(tmp_path / "empty")


def test_the_recommended_case_is_one_that_other_commands_take(
    undisturbed: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    recommended = undisturbed[1] / "recommended.toml"
    made = [row for row in rows_of(undisturbed[1]) if not row["reason"]]
    best = max(made, key=lambda row: float(row["stiffness_ratio"]))
    table = tomllib.loads(recommended.read_text(encoding="utf-8"))
    assert table["post"]["dovetail"]["width"] == best["post.dovetail.width"]
    with pytest.raises(SystemExit) as done:
        main(["check", str(recommended)])
    assert done.value.code == 0
    assert best["post.dovetail.width"] in capsys.readouterr().out
    (line,) = refused(
        capsys, "study", str(recommended), "--out", str(recommended.parent)
    )
    assert "recommended.toml in it is the case itself" in line


def test_an_impossible_design_is_recorded_with_its_reason(
    undisturbed: tuple[Path, Path],
) -> None:
    rows = rows_of(undisturbed[1])
    assert len(rows) == 3
    assert [row["post.dovetail.width"] for row in rows] == ["40 mm", "44 mm", "90 mm"]
    assert "post.dovetail.width = 90 mm" in rows[2]["reason"]
    assert rows[2]["stiffness_ratio"] == ""
    measured = {each.column for each in MEASURES.values()} - {"safety"}
    for row in rows[:2]:
        assert row["reason"] == ""
        assert all(row[column] for column in measured)


def test_a_cluster_that_runs_already_gives_the_same_table(
    undisturbed: tuple[Path, Path], tmp_path: Path
) -> None:
    case, reference = undisturbed
    script = (
        "import sys\n"
        "from distributed import LocalCluster\n"
        "with LocalCluster(n_workers=1, threads_per_worker=1, processes=False,\n"
        "                  dashboard_address=None, protocol='tcp://') as cluster:\n"
        "    print(cluster.scheduler_address, flush=True)\n"
        "    sys.stdin.readline()\n"
    )
    cluster = subprocess.Popen(
        [sys.executable, "-c", script],
        # What the first study computed: parts and stacks are there already.
        env={**os.environ, "XDG_CACHE_HOME": str(reference.parent / "cache")},
        cwd=Path(__file__).parents[2],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert cluster.stdout is not None
    address = cluster.stdout.readline().strip()
    try:
        finished(case, tmp_path / "out", tmp_path / "ours", "--cluster", address)
    finally:
        cluster.communicate("\n", timeout=PATIENCE)
    table = (tmp_path / "out" / "study.csv").read_bytes()
    assert table == (reference / "study.csv").read_bytes()
    assert journalled(tmp_path / "out")
    assert not kept(tmp_path / "ours"), "the work is done where the cluster runs"


@pytest.mark.parametrize(
    ("study", "wanted"),
    [
        ('[study.variables]\n"post.dovetail.widht" = ["40 mm"]\n', "did you mean"),
        ('[study.variables]\n"title" = ["a", "b"]\n', "cannot be varied"),
        ('[study.variables]\n"post.side" = ["70 kg"]\n', "but a length is wanted"),
        ('[study.variables]\n"post.side" = "70 mm"\n', "no list of values"),
        (
            '[study.variables]\n"post.side" = { from = "70 mm", to = "60 mm" }\n',
            "greater 'to' than 'from'",
        ),
        (
            '[study.variables]\n"post.clamping.way" = { from = "a", to = "b" }\n',
            "give a list of its names",
        ),
        (
            '[study.variables]\n"post.side" = '
            '{ from = "60 mm", to = "70 mm", count = 150 }\n"post.height" = '
            '{ from = "60 mm", to = "70 mm", count = 150 }\n',
            "22500 designs; must be at most 2000",
        ),
        ('[study.limits]\nmas = { max = "3 kg" }\n', "did you mean 'mass'?"),
        ('[study.limits]\nmass = "3 kg"\n', "give it min, max or both"),
        ('[study.limits]\nmass = { max = "3 mm" }\n', "but a mass is wanted"),
        ('[study.limits]\nmass = { min = "3 kg", max = "2 kg" }\n', "min above max"),
        ('[study.aims]\nmass = "small"\n', '"most" or "least"'),
        ('[study.aims]\nmass = "least"\nwall = "most"\nshank = "most"\n', "one or two"),
        ("[study]\ndesigns = 2\n", "a whole number from 4 to"),
        ('[study]\ncutters = [{ angle = "60 deg" }]\n', "dovetail cutters, each with"),
        (
            '[study]\ncutters = [{ angle = "60 deg", diameter = "6 mm", '
            'height = "10 mm" }]\n',
            "would meet below its shank",
        ),
        ('[study]\nshanks = ["12 mm", "10 mm"]\n', "sort the list"),
    ],
)
@pytest.mark.usefixtures("_in_tmp_path")
def test_a_study_that_cannot_be_used_is_refused_with_one_message(
    capsys: pytest.CaptureFixture[str], study: str, wanted: str
) -> None:
    write_small_study(Path(), "\n" + study, "bad.toml")
    lines = refused(capsys, "study", "bad.toml")
    assert len(lines) == 1
    assert wanted in lines[0]
    assert "bad.toml, line" in lines[0]


@pytest.mark.usefixtures("_in_tmp_path")
def test_a_case_without_a_study_is_told_what_to_add(
    capsys: pytest.CaptureFixture[str],
) -> None:
    write_small_study(Path(), "", "bad.toml")
    (line,) = refused(capsys, "study", "bad.toml")
    assert "varies nothing; add [study.variables]" in line


@pytest.fixture
def _in_tmp_path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
