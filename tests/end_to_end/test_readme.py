"""README's commands, its example of a case and its lines of Python hold good."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import fea
from fea.analysis.response import tip_compliance
from fea.app.command import stoutpost
from fea.case.case_file import read_case
from fea.case.schema import Case
from fea.core.contact_stack import contact_model
from fea.core.equilibrium import clamp, tangent_compliance
from fea.core.stack import Stack

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PYTHON_LINES = 5


def block(language: str) -> str:
    """The one block of README in a language."""
    (found,) = re.findall(rf"^```{language}\n(.*?)^```$", README, re.DOTALL | re.M)
    return str(found)


def command(beginning: str) -> str:
    """The one indented line of README that begins so."""
    lines = [line.strip() for line in README.splitlines() if line.startswith("    ")]
    (found,) = (line for line in lines if line.startswith(beginning))
    return found


@pytest.fixture
def names(
    tmp_path: Path,
    coarse_case: Case,
    cache_folder: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> dict[str, Any]:
    """What the lines of Python define, run on a coarse copy of the demo."""
    demo = ROOT / "cases" / "garden_railway.toml"
    size = f'[numerics]\nmesh_size = "{coarse_case.numerics.mesh_size} mm"\n'
    copy = tmp_path / "cases" / demo.name
    copy.parent.mkdir()
    copy.write_text(demo.read_text(encoding="utf-8") + size, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("fea.analysis.build.default_cache", lambda: cache_folder)
    defined: dict[str, Any] = {}
    exec(block("python"), defined)
    return defined


def test_the_lines_of_python_give_what_they_say(
    names: dict[str, Any], coarse_quick_change: Stack
) -> None:
    compliance = names["compliance"]
    assert np.array_equal(compliance, tip_compliance(coarse_quick_change))
    assert np.all(np.linalg.eigvalsh(compliance) > 0.0)
    curve = names["curve"]
    assert curve.depth_mm.tolist() == list(names["case"].cut.depths)
    # A shallow cut moves the tip as the clamped joints' tangent says.
    model = contact_model(coarse_quick_change)
    clamped = tangent_compliance(model, clamp(model))
    moved = 1000.0 * clamped @ curve.force_n[0]
    assert curve.deflection_um[0] == pytest.approx(moved, rel=0.02)
    assert sum(share.fraction for share in names["shares"]) == pytest.approx(1.0)


def test_the_lines_of_python_are_few() -> None:
    lines = [line for line in block("python").splitlines() if line]
    assert lines.pop(0) == "import fea"
    assert len(lines) <= PYTHON_LINES


def test_every_name_for_python_use_is_there_and_no_other() -> None:
    assert all(callable(getattr(fea, name)) for name in fea.__all__)
    with pytest.raises(AttributeError, match="tip_compliance"):
        _ = fea.tip_complience  # type: ignore[attr-defined]


def test_the_example_of_a_case_is_understood(tmp_path: Path) -> None:
    path = tmp_path / "my_post.toml"
    path.write_text(block("toml"), encoding="utf-8")
    reading = read_case(path)
    assert reading.case.title == "My first post"
    assert len(reading.given) <= 10


def test_every_command_is_in_the_table() -> None:
    named = set(re.findall(r"^\| `stoutpost (\w+) ", README, re.M))
    assert named == set(stoutpost.commands)


def test_continuous_integration_runs_the_test_command() -> None:
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert ci.splitlines()[-1] == command("bash .setup/install && .venv/bin/ruff")
    assert os.access(ROOT / ".ci" / "run", os.X_OK)


def test_the_main_command_computes_a_demo() -> None:
    line = command("bash .setup/install && .venv/bin/stoutpost")
    assert (ROOT / line.split()[-1]).is_file()


def test_the_schema_of_the_summary_is_printed() -> None:
    line = command(".venv/bin/python -c")
    code = line.partition('"')[2].removesuffix('"')
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=True
    )
    assert "schema_version" in json.loads(run.stdout)["properties"]


def test_the_package_is_a_command_too() -> None:
    run = subprocess.run(
        [sys.executable, "-m", "fea", "--help"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stdout.startswith("Usage: stoutpost ")


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_what_a_page_refers_to_exists(page: str) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    missing = {
        target
        for target in re.findall(r"\]\(([^)#]+)\)", text)
        if not (ROOT / target).is_file()
    }
    assert not missing
