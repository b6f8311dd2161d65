"""The page of keys says what the schema and the defaults say."""

from pathlib import Path

from fea.case.key_page import key_page
from fea.case.key_tree import leaf_fields, section_fields

PAGE = Path(__file__).parents[3] / "cases" / "README.md"
AGAIN = "run: python -m fea.case.key_page > cases/README.md"


def test_the_page_of_keys_is_up_to_date() -> None:
    assert PAGE.read_text(encoding="utf-8") == key_page(), AGAIN


def test_every_key_stands_once_under_its_section() -> None:
    page = key_page()
    assert sum(row.startswith("| `") for row in page.splitlines()) == len(leaf_fields())
    for section in section_fields():
        holds_keys = any(key.rpartition(".")[0] == section for key in leaf_fields())
        assert (f"## `[{section}]`" in page) == holds_keys


def test_what_has_no_default_is_marked_as_needed() -> None:
    rows = [row for row in key_page().splitlines() if row.endswith("**needed** |")]
    names = [row.split("`")[1] for row in rows]
    assert names == ["title", "centre_height", "tool_height", "shank_height", "width"]
