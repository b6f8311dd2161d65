from itertools import pairwise

import pytest
from short_case import SHORT, Read

from fea.case.schema import Case

# Defaults pass through text with all their digits.
EXACT = 1e-12


def test_five_keys_make_a_case(read: Read) -> None:
    reading = read(SHORT)
    assert len(reading.given) == 5
    assert isinstance(reading.case, Case)
    assert reading.case.machine.centre_height == 150.0


def test_defaults_follow_their_rules(read: Read) -> None:
    case = read(SHORT).case
    tool, holder, post = case.tool, case.holder, case.post
    assert tool.overhang == pytest.approx(1.5 * 12.0, rel=EXACT)
    assert tool.tip_patch == pytest.approx(0.2 * 12.0, rel=EXACT)
    assert case.machine.stud.diameter == pytest.approx(0.093 * 150.0, rel=EXACT)
    preload = 100.0 * case.machine.stud.diameter**2
    assert case.machine.stud.preload == pytest.approx(preload, rel=EXACT)
    height = holder.floor + holder.slot_height + 1.2 * 12.0
    assert holder.height == pytest.approx(height, rel=EXACT)
    top = 42.0 - 12.0 - holder.floor + holder.height
    assert post.height == pytest.approx(top + 4.0, rel=EXACT)


def test_a_default_follows_what_is_given_and_not_another_default(read: Read) -> None:
    case = read(SHORT.replace("[tool]", '[tool]\noverhang = "30 mm"')).case
    assert case.tool.overhang == 30.0
    longer = read(SHORT + '[machine.stud]\ndiameter = "10 mm"\n').case
    assert longer.machine.stud.preload == pytest.approx(100.0 * 10.0**2, rel=EXACT)
    assert longer.post.bore == pytest.approx(11.0, rel=EXACT)


def test_the_smaller_side_of_the_shank_sizes_the_tip_patch(read: Read) -> None:
    text = SHORT.replace("[tool]", '[tool]\nshank_width = "16 mm"')
    assert read(text).case.tool.tip_patch == pytest.approx(0.2 * 12.0, rel=EXACT)


def test_a_short_tool_is_by_default_long_enough_for_its_holder(read: Read) -> None:
    case = read(SHORT).case
    assert case.tool.length == pytest.approx(18.0 + case.holder.length, rel=EXACT)


def test_what_is_given_is_no_default(read: Read) -> None:
    reading = read(SHORT)
    taken = {default.key for default in reading.defaults}
    assert not taken & set(reading.given)
    assert "tool.overhang" in taken
    note = next(item for item in reading.defaults if item.key == "tool.overhang")
    assert note.rule == "1.5 x tool.shank_height"
    assert note.source == "common practice, no source"


def test_ground_is_interpolated_between_sizes_and_held_beyond(read: Read) -> None:
    # Half way between the rows at 125 and 165 mm.
    text = SHORT.replace("150 mm", "145 mm")
    assert read(text).case.machine.ground.radial == pytest.approx(52.5, rel=EXACT)
    large = SHORT.replace("150 mm", "400 mm").replace("42 mm", "90 mm", 1)
    assert read(large).case.machine.ground.vertical == 320.0


def test_only_a_wedge_has_a_recess(read: Read) -> None:
    assert read(SHORT).case.post.clamping.recess == pytest.approx(0.3 * 42.0)
    piston = read(SHORT + '[post.clamping]\nway = "piston"\n')
    assert piston.case.post.clamping.recess is None
    assert "post.clamping.recess" not in {item.key for item in piston.defaults}


@pytest.mark.parametrize("way", ["piston", "draw"])
def test_a_piston_or_draw_bolt_is_half_the_body_long(read: Read, way: str) -> None:
    case = read(SHORT + f'[post.clamping]\nway = "{way}"\n').case
    assert case.post.clamping.rod_length == pytest.approx(case.post.side / 2.0)


@pytest.mark.parametrize("way", ["wedge", "solid"])
def test_other_ways_of_clamping_have_no_rod(read: Read, way: str) -> None:
    given = read(SHORT + f'[post.clamping]\nway = "{way}"\n')
    assert given.case.post.clamping.rod_length is None


def test_no_shims_where_nothing_is_to_be_packed(read: Read) -> None:
    assert read(SHORT).case.block.shims.count == 2
    flush = read(SHORT + '[block]\nfloor = "30 mm"\n')
    assert flush.case.block.shims.count == 0


@pytest.mark.parametrize(
    ("centre_height", "tool_height", "shank", "dovetail"),
    [
        ("50 mm", "16 mm", "6 mm", "18 mm"),
        ("70 mm", "20 mm", "8 mm", "24 mm"),
        ("90 mm", "25 mm", "10 mm", "30 mm"),
        ("3.5 in", "1 in", "3/8 in", "1-1/4 in"),
        ("100 mm", "20 mm", "12 mm", "36 mm"),
        ("4.5 in", "1-1/8 in", "3/8 in", "1-1/4 in"),
        ("125 mm", "32 mm", "10 mm", "38 mm"),
        ("150 mm", "60 mm", "10 mm", "42 mm"),
        ("150 mm", "42 mm", "16 mm", "48 mm"),
        ("6.5 in", "1.75 in", "1/2 in", "1-3/4 in"),
        ("200 mm", "50 mm", "20 mm", "56 mm"),
        ("300 mm", "70 mm", "25 mm", "80 mm"),
    ],
)
def test_machines_of_every_usual_size_come_out_makeable(
    read: Read, centre_height: str, tool_height: str, shank: str, dovetail: str
) -> None:
    text = (
        f'title = "x"\nmachine.centre_height = "{centre_height}"\n'
        f'machine.tool_height = "{tool_height}"\ntool.shank_height = "{shank}"\n'
        f'post.dovetail.width = "{dovetail}"\n'
    )
    holder = read(text).case.holder
    # A wall a third of the shank thick holds it; the defaults leave more.
    least = 1.0 / 3.0 * read(text).case.tool.shank_height
    assert holder.floor > least
    assert holder.height - holder.floor - holder.slot_height > least


def test_inches_and_millimetres_make_the_same_case(read: Read) -> None:
    metric = (
        'title = "twin"\nmachine.centre_height = "114.3 mm"\n'
        'machine.tool_height = "30.1625 mm"\ntool.shank_height = "9.525 mm"\n'
        'tool.overhang = "15.875 mm"\npost.dovetail.width = "31.75 mm"\n'
        'machine.stud.preload = "9786.0875535731 N"\ncut.feed = "0.0762 mm/rev"\n'
        'cut.depths = ["0.0508 mm", "1.524 mm"]\n'
    )
    inch = (
        'title = "twin"\nmachine.centre_height = "4-1/2 in"\n'
        'machine.tool_height = "1-3/16 in"\ntool.shank_height = "3/8 in"\n'
        'tool.overhang = "5/8 in"\npost.dovetail.width = "1.25 in"\n'
        'machine.stud.preload = "2200 lbf"\ncut.feed = "3 thou/rev"\n'
        'cut.depths = ["2 thou", "0.06 in"]\n'
    )
    one, other = _numbers(read(metric).case), _numbers(read(inch).case)
    assert one.keys() == other.keys()
    assert len(one) > 50
    for key, value in one.items():
        assert other[key] == pytest.approx(value, rel=EXACT), key


def _numbers(case: Case) -> dict[str, object]:
    numbers: dict[str, object] = {}

    def walk(table: dict[str, object], prefix: str) -> None:
        for key, value in table.items():
            if isinstance(value, dict):
                walk(value, f"{prefix}{key}.")
            elif isinstance(value, float | tuple):
                numbers[prefix + key] = value

    walk(case.model_dump(exclude={"study"}), "")
    return numbers


def test_depths_from_a_table_are_even_and_end_on_the_last(read: Read) -> None:
    depths = read(SHORT).case.cut.depths
    assert len(depths) == 20
    assert depths[0] == 0.1
    assert depths[-1] == 2.0
    steps = {round(later - sooner, 9) for sooner, later in pairwise(depths)}
    assert steps == {0.1}
