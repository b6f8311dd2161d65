"""`stoutpost export`: every solid of the demo cases, apart and put together."""

from itertools import combinations
from pathlib import Path

import pytest
from bad_case import refused, written

from fea.analysis.build import PLANS, plan_stack
from fea.app.command import main
from fea.case.case_file import load_case
from geometry.kernel import gmsh_model

CASES = sorted((Path(__file__).parents[2] / "cases").glob("*.toml"))

# What a file must keep of a volume.
KEPT = 1e-6
# Faces in contact may cut into each other by the kernel's tolerance. [mm]
CONTACT_MM = 1e-6


def export(capsys: pytest.CaptureFixture[str], *arguments: str) -> list[Path]:
    """Run the command in this process; return the files that it names."""
    with pytest.raises(SystemExit) as done:
        main(["export", *arguments])
    printed = capsys.readouterr()
    assert done.value.code == 0, printed.err
    return [Path(line) for line in printed.out.splitlines()]


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_demo_case_goes_out_part_by_part_and_put_together(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, path: Path
) -> None:
    files = export(capsys, str(path), "--out", str(tmp_path / "out"))
    assert sorted(files) == sorted((tmp_path / "out").iterdir())
    case = load_case(path)
    parts = {p.name: p for n in PLANS for p in plan_stack(case, n).parts}
    assert len(files) == len(parts) + len(PLANS)
    for name, part in parts.items():
        file = tmp_path / "out" / f"{name.replace(' ', '_').replace('-', '_')}.step"
        with gmsh_model(name) as gmsh:
            ((dim, tag),) = gmsh.model.occ.importShapes(str(file))
            volume = gmsh.model.occ.getMass(dim, tag)
        assert volume == pytest.approx(part.shape.volume, rel=KEPT)


@pytest.mark.parametrize("stack", PLANS)
@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_parts_of_a_stack_touch_and_do_not_cut_into_each_other(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, path: Path, stack: str
) -> None:
    out = tmp_path / "out"
    files = export(capsys, str(path), "--out", str(out), "--stack", stack)
    plan = plan_stack(load_case(path), stack)
    assert len(files) == len(plan.parts) + 1
    with gmsh_model(stack) as gmsh:
        solids = gmsh.model.occ.importShapes(str(files[0]))
        assert len(solids) == len(plan.parts)
        for one, other in combinations(solids, 2):
            common, _ = gmsh.model.occ.intersect(
                [one], [other], removeObject=False, removeTool=False
            )
            shared = sum(gmsh.model.occ.getMass(*c) for c in common if c[0] == 3)
            area = max(gmsh.model.occ.getMass(*one) ** (2 / 3), 1.0)
            assert shared < CONTACT_MM * area, (one, other)


def test_a_case_that_is_refused_and_a_folder_that_cannot_be_made_leave_nothing(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    (line,) = refused(capsys, "export", written("title = 3\n"))[:1]
    assert "bad.toml" in line
    Path("notes").write_text("mine")
    lines = refused(capsys, "export", str(CASES[0]), "--out", "notes")
    assert lines[0].startswith("stoutpost: output folder = 'notes'")


def test_a_file_that_cannot_be_written_leaves_none_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written_so_far = []

    def fail_at_the_third(path: Path, *_: object) -> None:
        path.write_text("half")
        written_so_far.append(path)
        if len(written_so_far) > 2:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr("fea.report.step_export.write_step", fail_at_the_third)
    with pytest.raises(OSError, match="No space"):
        main(["export", str(CASES[0]), "--out", str(tmp_path / "out")])
    assert list(tmp_path.iterdir()) == []
