"""What the files of a report hold, read back as another program would."""

import csv
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import meshio
import numpy as np
import pytest
from pydantic import ValidationError

from fea.analysis.chatter_result import Chatter
from fea.analysis.result import Comparison, StackResult
from fea.report import write
from fea.report.band_file import COLUMNS as BAND_COLUMNS
from fea.report.case_summary import CaseSummary
from fea.report.curve_file import COLUMNS
from fea.report.summary import SCHEMA_VERSION, Summary

Stacks = list[tuple[str, StackResult]]


@pytest.fixture(scope="module")
def stages() -> list[str]:
    return []


@pytest.fixture(scope="module")
def folder(
    comparison: Comparison,
    chatter: Chatter,
    case_summary: CaseSummary,
    stages: list[str],
    tmp_path_factory: pytest.TempPathFactory,
) -> Path:
    folder = tmp_path_factory.mktemp("results") / "bench"
    page = write.write_report(comparison, chatter, case_summary, folder, stages.append)
    assert page == folder / "report.html"
    return folder


@pytest.fixture(scope="module")
def page(folder: Path) -> str:
    return (folder / "report.html").read_text(encoding="utf-8")


class Images(HTMLParser):
    """Collects what a page shows instead of text, with its words."""

    def __init__(self) -> None:
        super().__init__()
        self.alts: list[str | None] = []
        self.links: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        if tag == "img":
            self.alts.append(values.get("alt"))
        if values.get("role") == "img":
            self.alts.append(values.get("aria-label"))
        for key in ("src", "href", "xlink:href"):
            if key in values:
                self.links.append(values[key] or "")


def test_all_files_are_there_and_nothing_else(folder: Path, stages: list[str]) -> None:
    assert {path.name for path in folder.iterdir()} == set(write.FILES)
    assert stages[-1] == "writing the report"


def test_the_verdict_stands_before_warnings_and_pictures(page: str) -> None:
    places = [
        page.index(text)
        for text in (
            "With this quick-change post",
            "At 450 rev/min the quick-change post should hold",
            "The mesh is coarse",
            "<img",
            "Stiffness at the tool tip",
            "What was assumed",
            "eye protection",
        )
    ]
    assert places == sorted(places)


def test_every_picture_has_words(page: str) -> None:
    images = Images()
    images.feed(page)
    assert len(images.alts) == len(write.PICTURES)
    assert all(alt and len(alt) > 40 for alt in images.alts)


def test_the_page_needs_no_other_file_and_no_network(page: str) -> None:
    images = Images()
    images.feed(page)
    assert images.links
    assert all(link.startswith(("data:", "#")) for link in images.links)
    assert not re.search(r"https?:|//[a-z]|@import|url\((?!#)", page.split("data:")[0])
    outside = re.sub(r"data:image/(?:png|gif);base64,[A-Za-z0-9+/=]+", "", page)
    assert not re.search(r"https?:|@import|<script|<link", outside)


def test_references_inside_of_plots_resolve_to_one_place_each(page: str) -> None:
    names = re.findall(r'\bid="([^"]+)"', page)
    assert len(names) == len(set(names))
    used = set(re.findall(r'href="#([^"]+)"|url\(#([^)]+)\)', page))
    assert used
    assert {a or b for a, b in used} <= set(names)


def test_words_of_the_case_are_escaped(page: str) -> None:
    assert "Bench lathe &amp; &lt;new&gt; post" in page
    assert "<the slot>" not in page


def test_defaults_are_marked_in_words(page: str) -> None:
    case = page[page.index("The case as it was understood") :]
    rows = re.findall(r'<tr class="marked">(.*?)</tr>', case, flags=re.DOTALL)
    assert len(rows) == 2
    assert all(">default<" in row for row in rows)


def test_the_summary_reads_back_as_its_own_schema_says(
    folder: Path, comparison: Comparison
) -> None:
    text = (folder / "summary.json").read_text(encoding="utf-8")
    summary = Summary.model_validate_json(text)
    assert summary.schema_version == SCHEMA_VERSION
    assert json.loads(text).keys() == Summary.model_json_schema()["properties"].keys()
    for stack, was in (
        (summary.quick_change, comparison.quick_change),
        (summary.four_way, comparison.four_way),
    ):
        # JSON keeps every digit of a float
        assert np.array_equal(stack.compliance_um_per_n, was.compliance_um_per_n)
        assert len(stack.curve) == len(was.curve.depth_mm)
        assert stack.curve[-1].deflection_um == tuple(was.curve.deflection_um[-1])
        assert [part.name for part in stack.parts] == [f.name for f in was.fields]
        assert sum(s.fraction for s in stack.shares) == pytest.approx(1.0, abs=1e-12)


def test_a_summary_refuses_what_is_not_a_number(
    comparison: Comparison, chatter: Chatter, case_summary: CaseSummary
) -> None:
    bad = replace(comparison.quick_change, stiffness_n_per_um=float("nan"))
    with pytest.raises((ValidationError, ValueError), match=r"finite|cannot state"):
        Summary.of(replace(comparison, quick_change=bad), chatter, case_summary)


def test_every_number_of_the_summary_names_its_unit_or_has_none() -> None:
    unitless = {"schema_version", "stiffness_ratio", "fraction", "part_number"}
    unitless |= {"unknowns", "points", "tetrahedra", "samples", "lost"}
    unitless |= {"damping_ratio", "limiting_mode", "chance", "out_of_cut"}
    unitless |= {"slip_use", "slipping", "open_clamped", "open_loaded"}
    unitless |= {"mesh_error", "refined"}
    schema = Summary.model_json_schema()
    units = ("_mm", "_um", "_n", "_hz", "_kg", "_mpa", "_um_per_n", "_n_per_um", "_rpm")
    definitions = [schema, *schema["$defs"].values()]
    numbers = {
        name
        for definition in definitions
        for name, kind in definition.get("properties", {}).items()
        if kind.get("type") in ("number", "integer")
    }
    assert "diameter_error_um" in numbers
    assert all(name in unitless or name.endswith(units) for name in numbers)


def test_the_curve_file_has_a_row_per_stack_and_depth(
    folder: Path, comparison: Comparison
) -> None:
    with (folder / "deflection.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert tuple(rows[0]) == COLUMNS
    for stack in (comparison.quick_change, comparison.four_way):
        mine = [row for row in rows if row["stack"] == stack.name]
        assert len(mine) == len(stack.curve.depth_mm)
        vertical = [float(row["deflection_vertical_um"]) for row in mine]
        # six significant digits are written
        assert vertical == pytest.approx(stack.curve.deflection_um[:, 2], rel=1e-5)


def test_the_band_file_has_a_row_per_stack_and_sampled_depth(
    folder: Path, comparison: Comparison
) -> None:
    with (folder / "bands.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert tuple(rows[0]) == BAND_COLUMNS
    for stack in (comparison.quick_change, comparison.four_way):
        mine = [row for row in rows if row["stack"] == stack.name]
        assert [float(row["depth_mm"]) for row in mine] == list(stack.bands.depth_mm)
        for end, name in enumerate(("low", "high")):
            axial = [float(row[f"deflection_axial_{name}_um"]) for row in mine]
            error = [float(row[f"diameter_error_{name}_um"]) for row in mine]
            # six significant digits are written
            expected = stack.bands.deflection_um[end, :, 1]
            assert axial == pytest.approx(expected, rel=1e-5)
            assert error == pytest.approx(stack.bands.diameter_error_um[end], rel=1e-5)


def test_the_summary_tells_of_joints_stresses_cycle_and_bands(
    folder: Path, comparison: Comparison
) -> None:
    text = (folder / "summary.json").read_text(encoding="utf-8")
    summary = Summary.model_validate_json(text)
    assert summary.schema_version == 3
    assert summary.compared_depth_mm == 2.0
    assert summary.ratio_band == tuple(comparison.ratio_band)
    stack, was = summary.quick_change, comparison.quick_change
    assert [joint.name for joint in stack.joints] == [j.name for j in was.joints]
    square = next(joint for joint in stack.joints if joint.name == "base")
    # The window's NaN is no pressure; the invented tilt reaches 4 + 6 MPa.
    assert (square.clamped_peak_mpa, square.loaded_peak_mpa) == (4.0, 10.0)
    assert [peak.safety for peak in stack.stresses] == [None, 2.0, 530.0 / 180.0]
    assert was.cycle is not None
    assert stack.residual_um == tuple(was.cycle.residual_um)
    assert stack.bands.stiffness_n_per_um == tuple(was.bands.stiffness_n_per_um)


def test_the_field_files_hold_displacement_and_parts(
    folder: Path, comparison: Comparison
) -> None:
    summary = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
    for stack, key in (
        (comparison.quick_change, "quick_change"),
        (comparison.four_way, "four_way"),
    ):
        mesh = meshio.read(folder / f"deformed_{key}.vtu")
        moved = np.concatenate([f.displacement for f in stack.fields])
        assert np.array_equal(mesh.point_data["displacement_mm"], moved)
        numbers = mesh.cell_data["part"][0]
        for part in summary[key]["parts"]:
            field = stack.fields[part["part_number"] - 1]
            corners = mesh.points[mesh.cells[0].data[numbers == part["part_number"]]]
            assert part["name"] == field.name
            assert np.array_equal(corners, field.points[field.tetrahedra])


def fail(*args: object) -> None:
    raise RuntimeError("planted")


@pytest.mark.parametrize("step", ["gallery", "write_field", "render_page"])
def test_a_crash_in_the_middle_leaves_the_old_report_untouched(
    step: str,
    comparison: Comparison,
    chatter: Chatter,
    case_summary: CaseSummary,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    (tmp_path / "report.html").write_text("old")
    (tmp_path / "deflection.csv").write_text("old")
    monkeypatch.setattr(write, "gallery", lambda *args: ())
    monkeypatch.setattr(write, step, fail)
    with pytest.raises(RuntimeError, match="planted"):
        write.write_report(
            comparison, chatter, case_summary, tmp_path, lambda stage: None
        )
    kept = {path.name: path.read_text() for path in tmp_path.iterdir()}
    assert kept == {"report.html": "old", "deflection.csv": "old"}


def test_an_unwritable_folder_is_refused_before_anything_is_drawn(
    comparison: Comparison,
    chatter: Chatter,
    case_summary: CaseSummary,
    tmp_path: Path,
) -> None:
    from geometry.errors import InputError

    (tmp_path / "file").write_text("mine")
    stages: list[str] = []
    with pytest.raises(InputError) as caught:
        write.write_report(
            comparison,
            chatter,
            case_summary,
            tmp_path / "file" / "out",
            stages.append,
        )
    assert caught.value.exit_code == 2
    assert stages == []
    assert [path.name for path in tmp_path.iterdir()] == ["file"]
