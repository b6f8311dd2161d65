"""Joints and links as springs in series and in parallel, between blocks that are rigid.

Source: springs in series and in parallel; a rigid block on a bed of springs k per area
tilts under a force F at distance e from the middle, so that the point under the force
moves by F (1/kA + e²/kI). The blocks are a million times as stiff as the joints, and
what they give by themselves, below 1e-5, sets the tolerance.
"""

import numpy as np
import pytest
from block_mesh import block_mesh, flat_pad, material, placed

from fea.analysis.response import motion_shares, tip_compliance
from fea.core.joint import Joint, LinearLaw, Link, PadRef
from fea.core.reduction import Settings, reduce_part
from fea.core.stack import Stack
from geometry.pad import Pad

SIZES = (40.0, 30.0, 20.0)
AREA = SIZES[0] * SIZES[1]
RIGID = material(modulus=1e13, nu=0.3)
GROUND = LinearLaw(first=300.0, second=400.0, normal=900.0)
BETWEEN = LinearLaw(first=150.0, second=100.0, normal=700.0)
WHOLE = ((0.0, 40.0), (0.0, 30.0))
ROUGHLY_RIGID = 1e-5


def blocks(tip: Pad, joints: tuple[Joint, ...], links: tuple[Link, ...] = ()) -> Stack:
    """Two blocks, one upon the other; the joint between them as told."""
    ground = flat_pad("ground", *WHOLE, 0.0)
    halves = (
        flat_pad("left", (0.0, 20.0), WHOLE[1], 20.0),
        flat_pad("right", (20.0, 40.0), WHOLE[1], 20.0),
    )
    names = {joint.upper.pad for joint in joints}
    between = tuple(pad for pad in halves if pad.name in names)
    low = flat_pad("link root", (10.0, 30.0), (10.0, 20.0), 20.0)
    high = flat_pad("link head", (10.0, 30.0), (10.0, 20.0), 40.0)
    settings = Settings(degree=1, modes=2)
    parts = []
    for name, height, contacts, patches in (
        ("lower", 0.0, (ground, *between), (low,)),
        ("upper", 20.0, between, (high, tip)),
    ):
        shift = (0.0, 0.0, -height)
        pads = tuple(pad.moved(shift) for pad in contacts + patches)
        mesh = block_mesh(SIZES, (4, 6, 2), pads)
        own = pads[: len(contacts)], pads[len(contacts) :]
        reduced = reduce_part(mesh, *own, RIGID.poissons_ratio, settings)
        parts.append(placed(name, reduced, RIGID, contacts + patches))
    bed = Joint(
        name="bed", lower=None, upper=PadRef(part="lower", pad="ground"), law=GROUND
    )
    where = PadRef(part="upper", pad="tip")
    return Stack(parts, [bed, *joints], list(links), where)


def joint(pad: str, law: LinearLaw) -> Joint:
    return Joint(
        name=pad,
        lower=PadRef(part="lower", pad=pad),
        upper=PadRef(part="upper", pad=pad),
        law=law,
    )


MIDDLE = flat_pad("tip", (0.0, 40.0), (0.0, 30.0), 40.0)


def test_bed_and_joint_are_springs_in_series() -> None:
    stack = blocks(MIDDLE, (joint("left", BETWEEN), joint("right", BETWEEN)))
    expected = (1.0 / GROUND.normal + 1.0 / BETWEEN.normal) / AREA
    assert tip_compliance(stack)[2, 2] == pytest.approx(expected, rel=ROUGHLY_RIGID)


def test_a_link_is_a_spring_beside_the_joint() -> None:
    link = Link(
        name="stud",
        lower=PadRef(part="lower", pad="link root"),
        upper=PadRef(part="upper", pad="link head"),
        stiffness=2.5e5,
        preload=0.0,
    )
    both = (joint("left", BETWEEN), joint("right", BETWEEN))
    stack = blocks(MIDDLE, both, (link,))
    closed = BETWEEN.normal * AREA + link.stiffness
    expected = 1.0 / (GROUND.normal * AREA) + 1.0 / closed
    assert tip_compliance(stack)[2, 2] == pytest.approx(expected, rel=ROUGHLY_RIGID)
    shares = {
        share.name: share.fraction
        for share in motion_shares(stack, np.array([0.0, 0.0, -900.0]))
    }
    assert shares["stud"] == pytest.approx(
        link.stiffness / closed**2 / expected, rel=2.0 * ROUGHLY_RIGID
    )


def test_two_unlike_joints_side_by_side_tilt_about_their_own_middle() -> None:
    twice = LinearLaw(
        first=2.0 * BETWEEN.first,
        second=2.0 * BETWEEN.second,
        normal=2.0 * BETWEEN.normal,
    )
    stack = blocks(MIDDLE, (joint("left", BETWEEN), joint("right", twice)))
    k, half = BETWEEN.normal, AREA / 2.0
    # The force acts in the middle; the springs' middle lies 3.33 mm right of it.
    centre = (k * half * -10.0 + 2.0 * k * half * 10.0) / (3.0 * k * half)
    own = half * 20.0**2 / 12.0
    second = k * (own + half * (-10.0 - centre) ** 2)
    second += 2.0 * k * (own + half * (10.0 - centre) ** 2)
    upper = 1.0 / (3.0 * k * half) + centre**2 / second
    expected = upper + 1.0 / (GROUND.normal * AREA)
    assert tip_compliance(stack)[2, 2] == pytest.approx(expected, rel=ROUGHLY_RIGID)


def test_a_force_off_the_middle_tilts_the_blocks() -> None:
    tip = flat_pad("tip", (30.0, 40.0), (0.0, 5.0), 40.0)
    stack = blocks(tip, (joint("left", BETWEEN), joint("right", BETWEEN)))
    e_x, e_y = 15.0, -12.5
    about_y, about_x = 30.0 * 40.0**3 / 12.0, 40.0 * 30.0**3 / 12.0
    per_area = 1.0 / AREA + e_x**2 / about_y + e_y**2 / about_x
    expected = (1.0 / GROUND.normal + 1.0 / BETWEEN.normal) * per_area
    assert tip_compliance(stack)[2, 2] == pytest.approx(expected, rel=ROUGHLY_RIGID)


def test_a_sideways_force_slides_and_tilts_the_blocks() -> None:
    stack = blocks(MIDDLE, (joint("left", BETWEEN), joint("right", BETWEEN)))
    about_y = 30.0 * 40.0**3 / 12.0
    slide = (1.0 / GROUND.first + 1.0 / BETWEEN.first) / AREA
    tilt = (40.0**2 / GROUND.normal + 20.0**2 / BETWEEN.normal) / about_y
    found = tip_compliance(stack)[0, 0]
    assert found == pytest.approx(slide + tilt, rel=ROUGHLY_RIGID)
