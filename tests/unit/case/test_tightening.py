"""Torques of a case become the forces that the analysis reads."""

import tomllib
from math import atan, cos, pi, radians, sin, sqrt, tan
from pathlib import Path

import pytest
from short_case import SHORT, Read

from fea.case.case_file import load_case
from fea.case.clamped_pressure import (
    face_force,
    face_pressure,
    flank_force,
    flank_pressure,
)
from fea.case.tightening import (
    BLOCK_SCREWS,
    CLAMPING,
    HOLDER_SCREWS,
    STUD,
    axial_force,
    case_drive,
    proof_share,
    torque_from_axial,
    wedge_self_holding,
)
from fea.case.tightening_words import tightening_lines
from geometry.errors import InputError

CASES = Path(__file__).parents[3] / "cases"
OILED = 0.12

# Values pass through text with all their digits.
EXACT = 1e-12


def arm_of(diameter: float, pitch: float, bearing: float, friction: float) -> float:
    """Torque for a unit pull: lead, thread at 60 degrees, bearing. [mm]."""
    pitch_diameter = diameter - 3.0 * sqrt(3.0) / 8.0 * pitch
    thread = friction * pitch_diameter / sqrt(3.0)
    return pitch / (2.0 * pi) + thread + friction * bearing / 2.0


def test_the_studs_preload_follows_from_its_torque(read: Read) -> None:
    reading = read(SHORT + '[machine.stud]\ndiameter = "12 mm"\ntorque = "40 N m"\n')
    # M12: pitch 1.75, hexagon 18 over a hole of 13.5.
    preload = 40_000.0 / arm_of(12.0, 1.75, 15.75, OILED)
    # The thread's 0.64952 is 3 sqrt(3) / 8 to five figures.
    assert reading.case.machine.stud.preload == pytest.approx(preload, rel=1e-5)
    note = next(d for d in reading.defaults if d.key == "machine.stud.preload")
    assert note.why == "it follows from machine.stud.torque"
    assert note.rule == "40 N m on a screw of 12 mm, oiled"
    assert "Motosh" in note.source


def test_dry_faces_leave_less_of_a_torque(read: Read) -> None:
    text = SHORT + '[machine.stud]\ntorque = "40 N m"\nlubrication = '
    dry, oiled, paste = (
        read(f'{text}"{key}"\n').case.machine.stud.preload
        for key in ("dry", "oiled", "paste")
    )
    assert 1.3 * dry < oiled < paste / 1.3


@pytest.mark.parametrize("section", ["holder", "block"])
def test_a_set_screw_turns_on_its_point(read: Read, section: str) -> None:
    text = f'[{section}.screws]\ndiameter = "8 mm"\ntorque = "4 N m"\n'
    case = read(SHORT + text).case
    screws = case.holder.screws if section == "holder" else case.block.screws
    # M8: pitch 1.25, a flat point of 5.5 rubs at two thirds of it.
    force = 4000.0 / arm_of(8.0, 1.25, 5.5 * 2.0 / 3.0, OILED)
    assert screws.force == pytest.approx(force, rel=1e-5)


def test_the_flanks_force_follows_through_screw_wedge_and_flank(read: Read) -> None:
    text = (
        '[post.clamping]\ntorque = "4 N m"\nscrew_diameter = "10 mm"\n'
        'taper = "6 deg"\n[post.dovetail]\nwidth = "42 mm"\nangle = "55 deg"\n'
    )
    reading = read(SHORT.replace('[post.dovetail]\nwidth = "42 mm"\n', text))
    # M10: pitch 1.5, flat point 7. The power screw's arm exceeds the fastening one by
    # its thread's f tan(lead angle), 0.14 x 0.053 at most.
    push = 4000.0 / arm_of(10.0, 1.5, 7.0 * 2.0 / 3.0, OILED)
    spread = push / (tan(radians(6.0) + atan(OILED)) + OILED)
    normal = spread / sin(radians(55.0))
    found = reading.case.post.clamping.force
    assert (1.0 - 0.0075) * normal < found < normal
    note = next(d for d in reading.defaults if d.key == "post.clamping.force")
    assert note.rule == "4 N m on a screw of 10 mm, oiled, behind a wedge of 6 deg"


def test_a_piston_pushes_and_a_bolt_draws_with_their_screws_force(read: Read) -> None:
    text = '[post.clamping]\ntorque = "8 N m"\nscrew_diameter = "10 mm"\nway = '
    pushes, draws = (read(f'{SHORT}{text}"{way}"\n') for way in ("piston", "draw"))
    push, draw = pushes.case.post.clamping.force, draws.case.post.clamping.force
    assert push == pytest.approx(axial_force(pushes.case, CLAMPING), rel=EXACT)
    # A head rubs further out than a point, so less is left: M10 under 16 over 11.
    ratio = arm_of(10.0, 1.5, 13.5, OILED) / arm_of(10.0, 1.5, 7.0 / 1.5, OILED)
    assert push / draw == pytest.approx(ratio, rel=0.01)


def test_a_default_that_rests_on_a_tightened_size_is_followed(read: Read) -> None:
    # Neither the stud's diameter nor the wedge's taper is given.
    text = '[machine.stud]\ntorque = "40 N m"\n[post.clamping]\ntorque = "4 N m"\n'
    case = read(SHORT + text).case
    for tightening, torque in ((STUD, 40.0), (CLAMPING, 4.0)):
        drive = case_drive(case, tightening)
        axial = axial_force(case, tightening)
        found = torque_from_axial(drive, axial, drive.lubrication.friction)
        assert found == pytest.approx(torque, rel=EXACT)


def test_a_force_that_is_given_stays_as_it_is(read: Read) -> None:
    case = read(SHORT + '[post.clamping]\nforce = "9 kN"\ntaper = "5 deg"\n').case
    assert case.post.clamping.force == 9000.0
    assert case.post.clamping.torque is None
    spread = 9000.0 * sin(radians(60.0))
    push = spread * (tan(radians(5.0) + atan(OILED)) + OILED)
    assert axial_force(case, CLAMPING) == pytest.approx(push, rel=EXACT)


@pytest.mark.parametrize(
    ("more", "holds"),
    [
        # Twice the angle of friction: 13.7 deg oiled, 9.1 with paste, 22.6 dry.
        ('taper = "13.5 deg"', True),
        ('taper = "14 deg"', False),
        ('taper = "9 deg"\nlubrication = "paste"', True),
        ('taper = "10 deg"\nlubrication = "paste"', False),
        ('taper = "22 deg"\nlubrication = "dry"', True),
        ('way = "piston"', False),
        ('way = "draw"', False),
        ('way = "solid"', False),
    ],
)
def test_a_wedge_holds_itself_by_its_taper_and_its_oil(
    read: Read, more: str, *, holds: bool
) -> None:
    case = read(f"{SHORT}[post.clamping]\n{more}\n").case
    assert wedge_self_holding(case) == holds


def test_a_screw_that_would_break_is_refused_by_its_torque(read: Read) -> None:
    text = 'holder.screws = { diameter = "6 mm", torque = "25 N m" }\n'
    with pytest.raises(InputError) as caught:
        read(text + SHORT)
    message = str(caught.value)
    assert "line 1: holder.screws.torque = 25 N m" in message
    assert "holder.screws.diameter = 6 mm" in message
    assert "break it" in message


def test_a_stronger_class_bears_what_a_weaker_one_does_not(read: Read) -> None:
    text = '[machine.stud]\ndiameter = "12 mm"\npreload = "75 kN"\nproperty_class = '
    with pytest.raises(InputError, match=r"preload = 75000 N.*property_class = 8\.8"):
        read(f'{SHORT}{text}"8.8"\n')
    strong = read(f'{SHORT}{text}"12.9"\n').case
    # ISO 898-1: 970 MPa of 84.3 mm2.
    assert proof_share(strong, STUD) == pytest.approx(75.0 / (0.970 * 84.3), rel=1e-3)


def test_the_holder_is_in_balance_under_each_way_of_clamping(read: Read) -> None:
    for way, force in (("wedge", 9000.0), ("piston", 6000.0), ("draw", 5000.0)):
        text = f'[post.clamping]\nway = "{way}"\nforce = "{force} N"\n'
        case = read(SHORT + text).case
        # Off the face is positive: piston; onto it: flanks' pull, draw bolt.
        onto = 2.0 * flank_force(case) * cos(radians(60.0))
        pushed = {"wedge": 0.0, "piston": force, "draw": -force}[way]
        assert face_force(case) + pushed == pytest.approx(onto, abs=1e-9)
        assert (flank_pressure(case) > 0.0) == (way != "draw")
        assert (face_pressure(case) > 0.0) == (way != "piston")


@pytest.mark.parametrize(
    ("offsets", "overlap"),
    [
        ("", 70.0),
        # The holder reaches 10 mm past the body, on whichever side.
        ('offset_along = "10 mm"\n', 60.0),
        ('offset_across = "-10 mm"\n', 60.0),
    ],
)
def test_pressure_on_face_and_flanks_is_force_over_what_touches(
    read: Read, offsets: str, overlap: float
) -> None:
    text = (
        SHORT + f'depth = "9 mm"\nangle = "45 deg"\n{offsets}'
        '[post]\nside = "70 mm"\nheight = "80 mm"\n'
        '[holder]\nlength = "70 mm"\nheight = "40 mm"\n'
        '[post.clamping]\nforce = "9 kN"\n'
    )
    case = read(text).case
    # At 45 degrees the root is narrower by the depth on both sides.
    lands = (overlap - (42.0 - 2.0 * 9.0)) * 40.0
    pulled_on = 2.0 * 9000.0 / sqrt(2.0)
    assert face_pressure(case) == pytest.approx(pulled_on / lands, rel=EXACT)
    flank = 9.0 * sqrt(2.0) * 40.0
    assert flank_pressure(case) == pytest.approx(9000.0 / flank, rel=EXACT)


def test_the_demo_is_tightened_by_torques_to_forces_of_its_size() -> None:
    path = CASES / "garden_railway.toml"
    case, said = load_case(path), tomllib.loads(path.read_text(encoding="utf-8"))
    assert "torque" in said["machine"]["stud"]
    assert "torque" in said["post"]["clamping"]
    # The forces that a person aims at with these torques.
    for force, aim in (
        (case.machine.stud.preload, 20_000.0),
        (case.post.clamping.force, 10_000.0),
        (case.holder.screws.force, 4000.0),
        (case.block.screws.force, 4000.0),
    ):
        assert force == pytest.approx(aim, rel=0.03)


def test_every_screw_is_told_from_torque_to_pressure(read: Read) -> None:
    case = load_case(CASES / "garden_railway.toml")
    stud, clamping, holder, block = tightening_lines(case)
    assert stud.startswith("Stud: 45 N m, oiled -> ")
    assert f"{proof_share(case, STUD):.0%} of the proof load of class 8.8" in stud
    for part in ("the thread holds itself", "7 deg", "holds itself, ", "each flank"):
        assert part in clamping
    for line, tightening in ((holder, HOLDER_SCREWS), (block, BLOCK_SCREWS)):
        assert f"{axial_force(case, tightening):.0f} N of push" in line
    assert all("MPa" in line for line in (stud, clamping, holder, block))
    solid = read(SHORT + '[post.clamping]\nway = "solid"\n').case
    assert tightening_lines(solid)[1].startswith("Clamping screw: none")


def test_a_stated_force_is_told_with_the_torque_that_it_takes(read: Read) -> None:
    case = read(SHORT + '[machine.stud]\ndiameter = "12 mm"\npreload = "20 kN"\n').case
    torque = 20.0 * arm_of(12.0, 1.75, 15.75, OILED)
    assert f"Stud: {torque:.4g} N m, oiled, for the stated" in tightening_lines(case)[0]


def test_a_steep_wedge_is_said_not_to_hold(read: Read) -> None:
    case = read(SHORT + '[post.clamping]\ntaper = "20 deg"\n').case
    assert "does not hold itself, the screw keeps it in" in tightening_lines(case)[1]
