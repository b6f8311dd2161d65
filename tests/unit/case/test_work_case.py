"""The workpiece, the speeds and the kind of cut in a case file."""

from math import pi

import pytest
from short_case import SHORT, Read

from fea.case.case_file import CaseReading
from fea.case.caution import cautions
from fea.case.default_rule import load_default_table
from fea.case.default_speed import cutting_speed, usual_cutting_speed
from fea.case.derived import derive
from fea.case.schema import Case
from fea.case.table_spread import ground_spread
from fea.case.work_holding import holding_spread, work_bar, work_holding
from fea.core.material import load_materials
from fea.machining.work_material import load_work_materials
from geometry.errors import InputError

# Defaults pass through text with all their digits.
EXACT = 1e-12


def with_keys(read: Read, more: str) -> CaseReading:
    """The short case with more keys, each in a line with its section."""
    dotted = (
        'title = "short"\nmachine.centre_height = "150 mm"\n'
        'machine.tool_height = "42 mm"\ntool.shank_height = "12 mm"\n'
        'post.dovetail.width = "42 mm"\n'
    )
    return read(dotted + more)


def test_a_short_case_has_a_bar_that_follows_from_the_machine(read: Read) -> None:
    case = read(SHORT).case
    work = case.work
    assert work.diameter == pytest.approx(0.1667 * 150.0, rel=EXACT)
    assert work.stick_out == pytest.approx(2.5 * work.diameter, rel=EXACT)
    assert work.cut_at == work.stick_out
    assert work.bore == 0.0
    assert work.elastic_material == "mild steel"
    # Between the rows of 125 and 165 mm.
    assert case.spindle.radial == pytest.approx(55.0 + 25.0 * 25.0 / 40.0, rel=EXACT)
    assert case.chuck.mass == pytest.approx(5.5 + 4.5 * 25.0 / 40.0, rel=EXACT)
    assert case.cut.kind == "turning"
    assert case.cut.width is case.damping.ratio is None


def test_a_centre_moves_the_cut_to_the_middle_of_the_bar(read: Read) -> None:
    work = with_keys(read, 'work.tailstock = "centre"\nwork.stick_out = "90 mm"').case
    assert work.work.cut_at == 45.0
    given = with_keys(read, 'work.tailstock = "centre"\nwork.cut_at = "20 mm"').case
    assert given.work.cut_at == 20.0


def test_every_work_material_says_how_stiff_it_is_and_how_fast_it_is_cut() -> None:
    rows = load_default_table("work_guidance")
    assert [row["work_material"] for row in rows] == list(load_work_materials())
    for row in rows:
        assert row["elastic_material"] in load_materials()
        name = row["work_material"]
        # No shop turns anything with carbide slower than with high-speed steel.
        assert (
            usual_cutting_speed(name, "carbide") > usual_cutting_speed(name, "hss") > 5
        )


@pytest.mark.parametrize("name", list(load_work_materials()))
def test_the_bar_is_of_the_group_that_is_cut(read: Read, name: str) -> None:
    case = with_keys(read, f'work.material = "{name}"').case
    (row,) = (
        each
        for each in load_default_table("work_guidance")
        if each["work_material"] == name
    )
    assert case.work.elastic_material == row["elastic_material"]
    assert work_bar(case).material is load_materials()[row["elastic_material"]]


def test_cutting_speed_is_circumference_times_revolutions() -> None:
    assert cutting_speed(1000.0, 50.0) == pytest.approx(pi * 50.0, rel=EXACT)


def test_the_speed_left_out_is_the_next_below_what_is_usual(read: Read) -> None:
    text = 'work.diameter = "40 mm"\ntool.material = "hss"'
    case = with_keys(read, text).case
    usual = usual_cutting_speed("low_carbon_steel", "hss")
    chosen = case.spindle.speeds.index(case.spindle.speed)
    assert cutting_speed(case.spindle.speed, 40.0) <= usual
    assert cutting_speed(case.spindle.speeds[chosen + 1], 40.0) > usual
    carbide = with_keys(read, 'work.diameter = "40 mm"').case
    assert carbide.spindle.speed > case.spindle.speed


def test_a_large_bar_gets_the_slowest_speed_there_is(read: Read) -> None:
    text = 'work.diameter = "290 mm"\nspindle.speeds = ["300 rpm", "600 rev/min"]'
    assert with_keys(read, text).case.spindle.speed == 300.0


def test_speeds_are_read_in_turns_a_minute_however_they_are_written(read: Read) -> None:
    text = 'spindle.speeds = ["70 rpm", "2.5 rev/s"]\nspindle.speed = "70 rev/min"'
    assert with_keys(read, text).case.spindle.speeds == pytest.approx((70.0, 150.0))


def test_only_a_tool_that_plunges_has_a_width(read: Read) -> None:
    for kind in ("grooving", "parting"):
        case = with_keys(read, f'cut.kind = "{kind}"').case
        assert case.cut.width == pytest.approx(3.0, rel=EXACT)
    facing = with_keys(read, 'cut.kind = "facing"').case
    assert facing.cut.width is None


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (
            'work.bore = "25 mm"\nwork.diameter = "25 mm"',
            ("work.bore = 25 mm", "work.diameter = 25 mm", "24.5 mm or smaller"),
        ),
        (
            'work.cut_at = "80 mm"\nwork.stick_out = "60 mm"',
            ("work.cut_at = 80 mm", "work.stick_out = 60 mm", "chuck's face"),
        ),
        (
            'work.diameter = "320 mm"',
            ("work.diameter = 320 mm", "machine.centre_height = 150 mm", "the bed"),
        ),
        (
            'spindle.speed = "3000 rev/min"',
            ("spindle.speed = 3000 rev/min", "63 rev/min to 2000 rev/min"),
        ),
        (
            'spindle.speeds = ["500 rpm", "300 rpm"]',
            ("spindle.speeds", "rise one by one", "sort the list"),
        ),
        ('spindle.speeds = ["500 mm"]', ("is a length, but a spindle speed",)),
        ('spindle.speeds = "500 rpm"', ("must be 1 to 60 speeds",)),
        ('spindle.tilting = "200 N/um"', ("is a stiffness, but a stiffness against",)),
        (
            'cut.width = "3 mm"',
            ("cut.width = 3 mm", "cut.kind = turning", "remove width"),
        ),
        ('cut.kind = "boring"', ("no known kind of cut", "turning, facing")),
        ('work.tailstock = "center"', ("did you mean 'centre'?",)),
        ('damping.ratio = "3 %"', ("a number from 0.001 to 0.3", "without quotes")),
        ("damping.ratio = 3", ("a number from 0.001 to 0.3", "correct the number")),
        ("damping.ratio = true", ("a number from 0.001 to 0.3",)),
    ],
)
def test_what_contradicts_itself_is_refused_by_its_keys(
    read: Read, more: str, said: tuple[str, ...]
) -> None:
    with pytest.raises(InputError) as caught:
        with_keys(read, more)
    for words in said:
        assert words in str(caught.value)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('work.stick_out = "120 mm"', "give it a centre"),
        (
            'work.diameter = "5 mm"\nwork.stick_out = "70 mm"\n'
            'work.tailstock = "centre"',
            "wants a steady",
        ),
        ('work.bore = "22 mm"', "out of round"),
        ('cut.kind = "grooving"\nwork.cut_at = "10 mm"', "cuts all of its width"),
        ('cut.kind = "parting"', "diameters from the chuck"),
        ('cut.kind = "parting"\nwork.tailstock = "centre"', "jams the tool"),
        ('spindle.speed = "300 rev/min"', "stepless"),
        ('spindle.speed = "2000 rev/min"\ntool.material = "hss"', "is usual for"),
    ],
)
def test_a_doubtful_job_is_cautioned(read: Read, more: str, said: str) -> None:
    assert any(said in each for each in cautions(with_keys(read, more).case))
    assert not any(said in each for each in cautions(read(SHORT).case))


def derived(case: Case) -> dict[str, float]:
    return {item.name: item.value for item in derive(case)}


def test_the_check_page_shows_the_bar_and_every_cutting_speed(read: Read) -> None:
    text = 'work.diameter = "40 mm"\nwork.bore = "20 mm"\nwork.stick_out = "100 mm"'
    case = with_keys(read, text).case
    values = derived(case)
    volume = pi / 4.0 * (40.0**2 - 20.0**2) * 100.0
    mass = volume * load_materials()["mild steel"].density_kg_m3 * 1e-9
    assert values["work: mass out of the chuck"] == pytest.approx(mass, rel=EXACT)
    assert values["work: stick-out over diameter"] == pytest.approx(2.5, rel=EXACT)
    speeds = [name for name in values if name.startswith("cutting speed: at ")]
    assert len(speeds) == len(case.spindle.speeds)
    # The springs alone, and then the bar on them.
    stiffness = values["work: stiffness at the cut, across the bar"]
    assert 1.0 < stiffness < case.spindle.radial


def test_the_case_reaches_the_model_in_its_units(read: Read) -> None:
    text = (
        'spindle.radial = "80 N/um"\nspindle.tilting = "200 kN m/rad"\n'
        'spindle.axial = "90 kN/mm"\nspindle.damping = 0.04\n'
        'spindle.mass = "6 kg"\n'
        'chuck.mass = "9 kg"\nchuck.diameter = "160 mm"\ntailstock.radial = "40 N/um"\n'
    )
    by = work_holding(with_keys(read, text).case)
    assert (by.radial, by.axial, by.chuck_diameter) == (80e3, 90e3, 160.0)
    assert by.tilting == pytest.approx(2e8, rel=EXACT)
    assert by.spindle_mass == pytest.approx(6e-3, rel=EXACT)
    assert by.chuck_mass == pytest.approx(9e-3, rel=EXACT)
    assert by.loss_factor == pytest.approx(0.08, rel=EXACT)
    assert by.centre is None
    propped = with_keys(read, text + 'work.tailstock = "centre"').case
    assert work_holding(propped).centre == 40e3


def test_a_stated_stiffness_is_known_better_than_the_tables(read: Read) -> None:
    usual = holding_spread(read(SHORT).case)
    for name in ("radial", "axial", "tilting", "centre", "damping"):
        assert getattr(usual, name) > 1.5
    text = 'spindle.radial = "80 N/um"\nspindle.damping = 0.05\n'
    stated = holding_spread(with_keys(read, text).case)
    assert 1.0 < stated.radial < usual.radial
    assert 1.0 < stated.damping < usual.damping
    assert (stated.axial, stated.tilting, stated.centre) == (
        usual.axial,
        usual.tilting,
        usual.centre,
    )
    by_size = read(SHORT).case.spindle.radial
    same = with_keys(read, f'spindle.radial = "{by_size!r} N/um"').case
    # Who repeats the table has measured nothing.
    assert holding_spread(same) == usual


def test_the_ground_is_known_better_where_all_of_it_is_stated(read: Read) -> None:
    one = 'machine.ground.radial = "70 N/um"\n'
    rest = 'machine.ground.axial = "90 N/um"\nmachine.ground.vertical = "120 N/um"\n'
    usual = ground_spread(read(SHORT).case)
    assert ground_spread(with_keys(read, one).case) == usual
    assert 1.0 < ground_spread(with_keys(read, one + rest).case) < usual / 2.0
