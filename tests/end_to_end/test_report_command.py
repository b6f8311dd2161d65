"""`stoutpost report --simulate` on a coarse copy of the demo, from file to page."""

import json
from pathlib import Path

import pytest

from fea.app.command import main
from fea.case.schema import Case
from fea.report.write import FILES, files

DEMO = Path(__file__).parents[2] / "cases" / "garden_railway.toml"
FEW = 8
"""Sets of constants; bands and advice are not what is asked here."""


@pytest.fixture
def case(tmp_path: Path, coarse_case: Case) -> Path:
    """The demo on a coarse mesh, few depths, fast, hardly damped: it sings."""
    text = DEMO.read_text(encoding="utf-8")
    text = text.replace('speed = "710 rev/min"', 'speed = "1800 rev/min"')
    text = text.replace("count = 20", "count = 3")
    size = f'\n[numerics]\nmesh_size = "{coarse_case.numerics.mesh_size} mm"\n'
    size += "\n[damping]\nratio = 0.015\n"
    path = tmp_path / "coarse.toml"
    path.write_text(text + size, encoding="utf-8")
    return path


def test_followed_cuts_confirm_the_chart_and_stand_in_the_report(
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    case: Path,
    cache_folder: Path,
    tmp_path: Path,
) -> None:
    monkeypatch.setattr("fea.analysis.run.default_cache", lambda: cache_folder)
    monkeypatch.setattr("fea.analysis.chatter.advice", lambda *_: ())
    for module in ("draw", "common_draw", "mode_samples", "chatter_samples"):
        monkeypatch.setattr(f"fea.analysis.{module}.SAMPLES", FEW)
    out = tmp_path / "out"
    with pytest.raises(SystemExit) as done:
        main(["report", str(case), "--out", str(out), "--simulate"])
    printed = capsys.readouterr()
    assert done.value.code == 0, printed.err
    page = Path(printed.out.strip()).read_text(encoding="utf-8")
    assert "<h2>Cuts followed through time</h2>" in page
    assert set(FILES) <= {path.name for path in out.iterdir()} <= set(files(True))
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    chatter = summary["chatter"]
    differences = []
    for stack in ("quick_change", "four_way"):
        (own,) = chatter["simulated"][stack]
        assert own["speed_rpm"] == 1800.0
        chart = chatter[stack]["chosen"]["limit_mm"]
        assert own["chart_mm"] == pytest.approx(chart, rel=1e-9)  # round-off
        differences.append(own["difference"])
    known = [each for each in differences if each is not None]
    assert known
    # The frequency domain's limit within 5 %, as far as one was found.
    assert max(map(abs, known)) < 0.05
