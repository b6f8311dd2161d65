import pytest
from short_case import SHORT, Read

from fea.case.case_file import load_case
from fea.case.fit import LEAST_CLEARANCE_MM, holder_bottom
from fea.case.shapes import fit_problems, shapes
from geometry.errors import InputError


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (
            'post.dovetail.depth = "12 mm"\nholder.thickness = "24 mm"',
            (
                "holder.thickness = 24 mm",
                "post.dovetail.depth = 12 mm",
                "between slot and dovetail",
            ),
        ),
        (
            'holder.length = "40 mm"',
            (
                "holder.length = 40 mm",
                "post.dovetail.width = 42 mm",
                "beside the dovetail",
            ),
        ),
        ('post.side = "40 mm"', ("post.side = 40 mm", "post.dovetail.width = 42 mm")),
        (
            'post.dovetail.offset_across = "20 mm"',
            ("post.dovetail.offset_across = 20 mm", "post.side"),
        ),
        (
            'post.clamping.recess = "4 mm"',
            ("post.clamping.recess = 4 mm", "post.dovetail.depth"),
        ),
        (
            'post.clamping.recess = "8 mm"\npost.clamping.way = "draw"',
            (
                "post.clamping.recess = 8 mm",
                "post.clamping.way = draw",
                "remove recess",
            ),
        ),
        (
            'post.clamping.rod_length = "30 mm"',
            (
                "post.clamping.rod_length = 30 mm",
                "only way = 'piston' or 'draw'",
                "remove rod_length",
            ),
        ),
        (
            'block.side = "80 mm"\nblock.slot_depth = "36 mm"',
            ("block.side", "block.slot_depth = 36 mm", "block.bore"),
        ),
        ('block.height = "40 mm"', ("block.height = 40 mm", "over the slots")),
        (
            'block.floor = "31 mm"',
            ("block.floor = 31 mm", "machine.tool_height = 42 mm", "above centre"),
        ),
        (
            'block.slot_height = "15 mm"',
            ("block.slot_height = 15 mm", "make the slot higher"),
        ),
        ("block.shims.count = 0", ("block.shims.count = 0", "to be packed")),
        (
            'block.floor = "30 mm"\nblock.shims.count = 2',
            ("block.shims.count = 2", "set the count to 0"),
        ),
        ('holder.floor = "30 mm"', ("holder.floor = 30 mm", "0 mm over the slide")),
        ('post.height = "30 mm"', ("post.height = 30 mm", "make the post higher")),
        (
            'holder.slot_height = "10 mm"',
            ("holder.slot_height = 10 mm", "tool.shank_height = 12 mm"),
        ),
        (
            'holder.slot_depth = "10 mm"',
            ("holder.slot_depth = 10 mm", "tool.shank_width = 12 mm"),
        ),
        (
            'tool.length = "40 mm"\ntool.overhang = "20 mm"',
            ("tool.length = 40 mm", "tool.overhang = 20 mm", "holder.length"),
        ),
        (
            'holder.screws.diameter = "14 mm"',
            ("holder.screws.diameter = 14 mm", "tool.shank_width"),
        ),
        (
            'block.screws.count = 8\nblock.screws.diameter = "12 mm"',
            ("block.screws.count = 8", "side by side"),
        ),
        (
            'post.bore = "10 mm"',
            ("post.bore = 10 mm", "machine.stud.diameter", "bore wider"),
        ),
        (
            'block.side = "120 mm"\nmachine.top_slide.stud_from_front = "50 mm"',
            ("block.side = 120 mm", "machine.top_slide.stud_from_front = 50 mm"),
        ),
        (
            'block.side = "120 mm"\nmachine.top_slide.width = "80 mm"',
            ("block.side = 120 mm", "machine.top_slide.width = 80 mm"),
        ),
        (
            'machine.top_slide.runs_out = "60 mm"\nmachine.lower_slide.length = "9 cm"',
            ("machine.top_slide.runs_out = 60 mm", "groove"),
        ),
        (
            'machine.top_slide.ways.width = "72 mm"',
            ("machine.top_slide.ways.width = 72 mm", "machine.top_slide.width"),
        ),
        (
            'machine.top_slide.ways.depth = "31 mm"',
            ("machine.top_slide.ways.depth = 31 mm", "machine.top_slide.height"),
        ),
        (
            'machine.lower_slide.height = "90 mm"',
            ("machine.lower_slide.height = 90 mm", "below the bed"),
        ),
        (
            'tool.tip_patch = "11.5 mm"',
            ("tool.tip_patch = 11.5 mm", "tool.shank_width"),
        ),
    ],
)
def test_dimensions_that_collide_are_named_by_their_keys(
    read: Read, more: str, said: tuple[str, ...]
) -> None:
    with pytest.raises(InputError) as caught:
        read(_with(more))
    message = str(caught.value)
    assert "lathe.toml" in message
    for part in said:
        assert part in message
    assert "dovetail_offset" not in message
    assert "angle_deg" not in message


def _with(more: str) -> str:
    """The short case, with keys on top that may name a key of the short case."""
    flat = (
        'title = "short"\nmachine.centre_height = "150 mm"\n'
        'machine.tool_height = "42 mm"\ntool.shank_height = "12 mm"\n'
        'post.dovetail.width = "42 mm"\n'
    )
    return flat + more + "\n"


def test_a_collision_with_a_default_says_which_value_is_one(read: Read) -> None:
    with pytest.raises(InputError) as caught:
        read(_with('holder.slot_depth = "10 mm"'))
    assert "lathe.toml, line 6: holder.slot_depth" in str(caught.value)
    assert "by default: tool.shank_width: tool.shank_height" in str(caught.value)


def test_all_collisions_are_told_at_once_a_line_each(read: Read) -> None:
    with pytest.raises(InputError) as caught:
        read(_with('post.bore = "10 mm"\nblock.bore = "9 mm"\nblock.height = "40 mm"'))
    lines = str(caught.value).splitlines()
    assert [line.split(":")[0] for line in lines] == [
        f"lathe.toml, line {number}" for number in (6, 7, 8)
    ]


def test_a_dovetail_that_cannot_be_cut_is_told_once(read: Read) -> None:
    with pytest.raises(InputError) as caught:
        read(_with('post.dovetail.depth = "36 mm"\nholder.thickness = "80 mm"'))
    message = str(caught.value)
    assert "post.dovetail.depth = 36 mm" in message
    assert "post.dovetail.angle = 60 deg" in message
    assert message.count("leave a root") == 1


def test_a_changed_case_is_checked_again_before_it_is_made(read: Read) -> None:
    case = read(SHORT).case
    holder = case.holder.model_copy(update={"slot_depth": 30.0})
    changed = case.model_copy(update={"holder": holder})
    assert fit_problems(case) == []
    with pytest.raises(InputError, match=r"holder\.slot_depth = 30 mm"):
        shapes(changed)


def test_the_tallest_default_tool_clears_the_slide(read: Read) -> None:
    case = read(SHORT).case
    assert holder_bottom(case) == pytest.approx(42.0 - 12.0 - case.holder.floor)
    assert holder_bottom(case) > LEAST_CLEARANCE_MM


def test_load_case_gives_what_read_case_reads(read: Read, tmp_path: object) -> None:
    reading = read(SHORT)
    assert load_case(str(reading.path)) == reading.case
