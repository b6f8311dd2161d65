import tomllib

import pytest
from pydantic import ValidationError
from short_case import SHORT, Read

from fea.case.case_file import CaseReading
from fea.case.default_rule import load_default_rules, load_default_table
from fea.case.field_kind import Quantity
from fea.case.key_lines import key_lines, line_of
from fea.case.key_tree import kind_of, leaf_fields, nearest_key, section_fields
from fea.case.schema import Case
from fea.case.wording import shown

# What a newcomer must say; everything else has a default or is empty.
MUST_BE_GIVEN = {
    "title",
    "machine.centre_height",
    "machine.tool_height",
    "tool.shank_height",
    "post.dovetail.width",
}
MAY_BE_EMPTY = {
    "calibration.spread",
    "calibration.constants",
    "about",
    "machine.stud.torque",
    "post.clamping.torque",
    "holder.screws.torque",
    "block.screws.torque",
    "damping.ratio",
    "study.variables",
    "study.limits",
    "study.aims",
    "study.cutters",
    "study.shanks",
    "study.designs",
    "numerics.accuracy",
}


def test_every_key_and_section_is_documented() -> None:
    fields = leaf_fields() | section_fields()
    assert len(fields) > 80
    for key, field in fields.items():
        assert field.description, key
        assert field.description.endswith("."), key


def test_an_accuracy_is_a_fraction_and_shown_in_per_cent(read: Read) -> None:
    case = read(f'{SHORT}[numerics]\naccuracy = "0.5 %"\n').case
    assert case.numerics.accuracy == 0.005
    assert shown(case, "numerics.accuracy") == "0.5 %"
    assert shown(read(SHORT).case, "numerics.accuracy") == "-"


def test_every_key_has_a_default_or_must_be_given() -> None:
    ruled = set(load_default_rules())
    assert ruled | MUST_BE_GIVEN | MAY_BE_EMPTY == set(leaf_fields())
    assert not ruled & MUST_BE_GIVEN


def test_every_default_says_why_and_who_says_so() -> None:
    rules = load_default_rules()
    assert rules
    for key, rule in rules.items():
        assert rule.why, key
        assert rule.source, key


@pytest.mark.parametrize("table", ["ground_stiffness", "spindle_stiffness"])
def test_ground_and_spindle_grow_with_the_size_of_the_machine(table: str) -> None:
    rows = load_default_table(table)
    assert len(rows) > 3
    measured = [name for name, cell in rows[0].items() if str(cell)[0].isdigit()]
    columns = [name for name in measured if not name.endswith("_factor")]
    assert len(columns) > 3
    for column in columns:
        values = [float(row[column].split()[0]) for row in rows]
        assert values == sorted(set(values)), column


def test_every_quantity_has_limits_in_order() -> None:
    kinds = [kind_of(key) for key in leaf_fields()]
    quantities = [kind for kind in kinds if isinstance(kind, Quantity)]
    assert len(quantities) > 50
    assert all(kind.low < kind.high for kind in quantities)


def test_a_case_is_frozen(read: Read) -> None:
    case = read(SHORT).case
    with pytest.raises(ValidationError):
        case.tool.overhang = 3.0
    assert case.tool.overhang == 18.0


@pytest.mark.parametrize(
    ("slip", "meant"),
    [
        ("tool.overhng", "tool.overhang"),
        ("tool.shank_hight", "tool.shank_height"),
        ("machine.overhang", "tool.overhang"),
        ("tol", "tool"),
        ("post.dovetail.widht", "post.dovetail.width"),
        ("tool.xyzzy", None),
    ],
)
def test_the_nearest_key_to_a_slip_is_found(slip: str, meant: str | None) -> None:
    assert nearest_key(slip) == meant


def test_lines_of_keys_are_found_however_they_are_written() -> None:
    text = (
        'title = "x"\n'
        'about = """\n'
        "width = 3 in the story\n"
        '[tool]"""\n'
        "[tool] # comment\n"
        'overhang = "1 mm"\n'
        "[post.dovetail]\n"
        "width = '2 mm'\n"
        "[holder]\n"
        "screws = { count = 3, force = '1 kN' }\n"
        '"floor" = "9 mm"\n'
        'screws.diameter = "1 mm"\n'
    )
    lines = key_lines(text)
    assert lines["tool.overhang"] == 6
    assert lines["post.dovetail.width"] == 8
    assert lines["holder.screws.count"] == lines["holder.screws.force"] == 10
    assert lines["holder.floor"] == 11
    assert lines["holder.screws.diameter"] == 12
    assert "width" not in lines
    assert line_of("tool.length", lines) == 5
    assert line_of("block.side", lines) is None


def test_a_case_written_with_dotted_keys_is_the_same_case(read: Read) -> None:
    dotted = (
        'title = "short"\nmachine = { centre_height = "150 mm", tool_height = "42 mm" }'
        '\ntool.shank_height = "12 mm"\npost.dovetail.width = "42 mm"\n'
    )
    tables = read(SHORT)
    assert isinstance(tables, CaseReading)
    assert read(dotted).case == tables.case
    assert tomllib.loads(dotted) == tomllib.loads(SHORT)


def test_the_schema_refuses_a_number_without_its_unit() -> None:
    with pytest.raises(ValidationError) as caught:
        Case.model_validate({"tool": {"overhang": 18.0}})
    places = {error["loc"]: error["msg"] for error in caught.value.errors()}
    assert "with its unit" in places["tool", "overhang"]
