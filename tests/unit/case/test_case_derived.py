from math import pi

import pytest
from short_case import SHORT, Read

from fea.case.caution import ALWAYS, cautions
from fea.case.derived import derive, seat_area, stud_stress, tallest_shank
from fea.case.schema import Case

# Only additions and products of a few numbers.
EXACT = 1e-12


def _derived(case: Case) -> dict[str, float]:
    return {item.name: item.value for item in derive(case)}


def test_walls_slot_and_dovetail_add_up_to_the_holder(read: Read) -> None:
    case = read(SHORT).case
    holder, dovetail = case.holder, case.post.dovetail
    values = _derived(case)
    across = (
        holder.slot_depth
        + values["holder: wall between slot and dovetail"]
        + dovetail.depth
        + dovetail.clearance
    )
    assert across == pytest.approx(holder.thickness, rel=EXACT)
    up = (
        values["holder: wall left under the slot"]
        + holder.slot_height
        + values["holder: wall over the slot, for the screws"]
    )
    assert up == pytest.approx(holder.height, rel=EXACT)


def test_the_mass_of_a_plain_bar_is_volume_by_density(read: Read) -> None:
    text = SHORT.replace("[tool]", '[tool]\nlength = "100 mm"\nmaterial = "carbide"')
    mass = _derived(read(text).case)["mass: tool bit"]
    # 12 x 12 x 100 mm of 14 900 kg/m3.
    assert mass == pytest.approx(14.4e-6 * 14_900.0, rel=EXACT)


def test_the_post_weighs_what_its_parts_weigh(read: Read) -> None:
    values = _derived(read(SHORT).case)
    parts = ("tool bit", "holder", "post body", "moving flank")
    total = sum(values[f"mass: {part}"] for part in parts)
    name = "mass: quick-change post with holder and tool"
    assert values[name] == pytest.approx(total, rel=EXACT)


def test_packing_fills_the_block_up_to_centre_height(read: Read) -> None:
    case = read(SHORT).case
    values = _derived(case)
    packing = values["block: packing under the tool"]
    assert case.block.floor + packing + 12.0 == pytest.approx(42.0, rel=EXACT)
    assert values["block: height of each shim"] == pytest.approx(packing / 2.0)


def test_the_tallest_shank_is_held_by_the_slot_or_by_the_slide(read: Read) -> None:
    case = read(SHORT).case
    assert tallest_shank(case) == case.holder.slot_height
    text = SHORT + '[holder]\nfloor = "29 mm"\nslot_height = "20 mm"\n'
    # 42 over the slide, less the floor and half a millimetre of clearance.
    assert tallest_shank(read(text).case) == pytest.approx(12.5, rel=EXACT)


def test_a_block_wider_than_the_slide_sits_on_what_is_there(read: Read) -> None:
    case = read(SHORT).case
    assert case.machine.top_slide.width == pytest.approx(75.0)
    area = seat_area(case, 80.0, 14.0)
    assert area == pytest.approx(80.0 * 75.0 - pi / 4.0 * 14.0**2, rel=EXACT)


def test_the_studs_stress_is_force_over_section(read: Read) -> None:
    text = SHORT + '[machine.stud]\ndiameter = "12 mm"\npreload = "20 kN"\n'
    # ISO 898-1 prints 84.3 mm2 for M12.
    assert stud_stress(read(text).case) == pytest.approx(20_000.0 / 84.3, rel=1e-3)


def test_every_case_is_told_of_guards_eyes_and_the_makers_limits(read: Read) -> None:
    told = " ".join(cautions(read(SHORT).case))
    assert cautions(read(SHORT).case) == ALWAYS
    for word in ("maker", "Guards", "eye protection", "Machine off", "light"):
        assert word in told


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('[tool]\nshank_height = "12 mm"\noverhang = "30 mm"', "sticks out 2.5 times"),
        ('[machine.stud]\npreload = "90 kN"', "which stretches it for good; check its"),
        ('[machine.stud]\npreload = "55 kN"', "more than the usual 75%"),
        ('[machine.stud]\ntorque = "125 N m"', "stud would bear 82% of the proof"),
        ('[holder.screws]\ntorque = "16 N m"', "holder's screws would bear"),
        ('[post.clamping]\ntorque = "35 N m"', "clamping screw would bear"),
        ('[post.clamping]\ntaper = "12 deg"', "oiled, may not hold itself"),
        ('[post.clamping]\ntaper = "15 deg"', "oiled, does not hold itself"),
        ('[holder]\nfloor = "29 mm"', "brush them off"),
        ('[post]\nheight = "50 mm"', "holder's height is on the post's dovetail"),
        ("[block.shims]\ncount = 5", "5 shims"),
    ],
)
def test_what_is_doubtful_is_cautioned(read: Read, more: str, said: str) -> None:
    text = SHORT.replace('[tool]\nshank_height = "12 mm"\n', "")
    if not more.startswith("[tool]"):
        text = SHORT
    told = cautions(read(f"{text}{more}\n").case)
    assert said in told[0]
    assert told[1:] == ALWAYS
