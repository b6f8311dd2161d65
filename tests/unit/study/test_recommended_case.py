"""The recommended case: the file's own text with other values, and read as meant."""

import tomllib
from collections.abc import Mapping
from pathlib import Path

import pytest
from invented_study import OFFSET, WIDTH

from fea.case.case_file import load_case, read_case, with_values
from fea.study.designs import Design
from fea.study.recommended_case import CaseText, recommended_text, text_of

CASES = Path(__file__).parents[3] / "cases"
DEMO = CASES / "garden_railway_study.toml"
VALUES = {WIDTH: "46 mm", OFFSET: "-6 mm"}


def recommended(said: CaseText, values: Mapping[str, object]) -> str:
    return recommended_text(said, Design(number=64, values=values))


def test_it_is_read_as_the_design_was(tmp_path: Path) -> None:
    path = tmp_path / "recommended.toml"
    path.write_text(recommended(text_of(DEMO), VALUES), encoding="utf-8")
    found, design = load_case(path), with_values(read_case(DEMO), VALUES).case
    assert found.post.dovetail.width == 46.0
    assert found.study == load_case(DEMO).study, "it may be studied again"
    assert found.model_copy(update={"study": design.study}) == design


def test_every_line_that_does_not_change_stays() -> None:
    said = text_of(DEMO)
    text = recommended(said, VALUES)
    old, new = said.text.splitlines(), text.splitlines()
    assert [line for line in old if line not in new] == ['width = "42 mm"']
    assert 'width = "46 mm"' in new
    # That the offset is new, and what the width was, stands at the top.
    assert new[:3] == [
        "# garden_railway_study.toml with what its study recommends, design 64:",
        "# post.dovetail.width = 46 mm (was 42 mm)",
        "# post.dovetail.offset_across = -6 mm (not in the file before)",
    ]


@pytest.mark.parametrize(
    "text",
    [
        "# why\n[post]\nside = '70 mm' # bar stock\n[post.dovetail]\nwidth = '42 mm'\n",
        "# why\n[post]\nside = '70 mm' # bar stock\ndovetail = { width = '42 mm' }\n",
        "# why\npost.side = '70 mm' # bar stock\npost.dovetail.width = '42 mm'\n",
        "# why\n[post]\nside = '70 mm' # bar stock\n[tool]\n[post.dovetail]\n",
        "# why\npost = { side = '70 mm' } # bar stock\n[tool]\noverhang = '20 mm'\n",
        "# why\n[tool]\noverhang = '20 mm' # bar stock\n[study.aims]\nmass = 'least'\n",
    ],
)
def test_however_a_file_is_written_the_values_are_in_their_place(text: str) -> None:
    values = {**VALUES, "post.side": "68 mm", "holder.screws.count": 4}
    written = recommended(CaseText(name="mine.toml", text=text), values)
    table = tomllib.loads(written)
    assert table["post"]["dovetail"]["width"] == "46 mm"
    assert table["post"]["dovetail"]["offset_across"] == "-6 mm"
    assert table["post"]["side"] == "68 mm"
    assert table["holder"]["screws"]["count"] == 4
    assert table.get("tool", {}) == tomllib.loads(text).get("tool", {})
    assert "# why" in written
    assert "# bar stock" in written
