from short_case import SHORT, Read

from fea.case.shapes import post_dovetail, shapes
from geometry.parts.holder import Holder
from geometry.parts.post_body import PostBody

ALWAYS = {
    "tool bit",
    "holder",
    "post body",
    "four-way block",
    "top slide",
    "lower slide",
}


def test_a_wedge_has_one_part_more_than_the_other_ways(read: Read) -> None:
    assert set(shapes(read(SHORT).case)) == ALWAYS | {"moving flank"}
    for way in ("piston", "draw", "solid"):
        text = f'{SHORT}[post.clamping]\nway = "{way}"\n'
        assert set(shapes(read(text).case)) == ALWAYS


def test_offsets_reach_the_part_that_they_belong_to(read: Read) -> None:
    more = '\noffset_along = "3 mm"\noffset_across = "-4 mm"\n'
    made = shapes(read(SHORT + more).case)
    holder, body = made["holder"], made["post body"]
    assert isinstance(holder, Holder)
    assert isinstance(body, PostBody)
    assert holder.dovetail_offset == 3.0
    assert body.dovetail_offset == -4.0


def test_holder_and_body_share_the_dovetail(read: Read) -> None:
    case = read(SHORT).case
    made = shapes(case)
    holder, body = made["holder"], made["post body"]
    assert isinstance(holder, Holder)
    assert isinstance(body, PostBody)
    assert holder.dovetail == body.dovetail == post_dovetail(case)


def test_a_wider_dovetail_takes_from_the_holder_and_adds_to_the_body(
    read: Read,
) -> None:
    fixed = '\n[post]\nside = "70 mm"\n[holder]\nlength = "70 mm"\n'
    narrow = shapes(read(SHORT + fixed).case)
    wide = shapes(
        read(
            SHORT.replace('42 mm"\n', '46 mm"\n').replace(
                'tool_height = "46 mm"', 'tool_height = "42 mm"'
            )
            + fixed
        ).case
    )
    assert wide["holder"].volume < narrow["holder"].volume
    assert wide["tool bit"].volume == narrow["tool bit"].volume
