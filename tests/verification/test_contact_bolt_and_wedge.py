"""Preload of a stud and force of a wedge, on a rigid block and a linear joint.

Source: the bolted-joint diagram (Shigley, Mechanical Engineering Design, chapter on
screws and fasteners; VDI 2230): an outer force P adds P k_b / (k_b + k_m) to the
bolt until P = preload (1 + k_b / k_m) parts the faces, and from there on the bolt
carries all of P. Two springs in parallel share a force by their stiffness. The block
gives 1e-5 of what the joints do, which sets the tolerance.
"""

import numpy as np
import pytest
from contact_blocks import Rod, Seat, guides, normal_force, rigid_block, tension

from fea.core.contact_law import ContactLaw
from fea.core.contact_model import ContactModel
from fea.core.equilibrium import clamp, load, tip_motion

SIZES = (50.0, 40.0)
AREA = SIZES[0] * SIZES[1]
PRELOAD = 8000.0
LAW = ContactLaw(closure=1e-3, exponent=1.0, tangential_ratio=0.5, friction=0.2)
MEMBER = AREA / LAW.closure
BOLT = 0.3 * MEMBER
PARTING = PRELOAD * (1.0 + BOLT / MEMBER)
HEIGHT = 30.0
DRIVE = 3000.0
WEDGE_LAW = ContactLaw(closure=4e-3, exponent=1.0, tangential_ratio=0.5, friction=0.2)
WEDGE = AREA / WEDGE_LAW.closure
ROUGHLY_RIGID = 1e-4


def bolted() -> ContactModel:
    seat = Seat(name="seat", law=LAW, sizes=SIZES, pressure=PRELOAD / AREA)
    stud = Rod(name="stud", axis="z", stiffness=BOLT, preload=PRELOAD)
    # Parted faces hold the block no longer upright; rods that carry nothing do.
    return rigid_block([seat], [stud, *guides(1e3, HEIGHT)], (0.0, 0.0, HEIGHT))


def wedged(*, yields: bool) -> ContactModel:
    """Block between its seat and a ceiling, with a wedge under the ceiling."""
    seat = Seat(name="seat", law=LAW, sizes=SIZES, pressure=DRIVE / AREA)
    wedge = Seat(
        name="wedge",
        law=WEDGE_LAW,
        sizes=SIZES,
        height=HEIGHT,
        side=-1.0,
        pressure=DRIVE / AREA,
        drive=DRIVE,
        yields=yields,
    )
    return rigid_block([seat, wedge], guides(1e3, HEIGHT), (0.0, 0.0, HEIGHT))


def test_a_clamped_stud_has_its_preload_and_so_has_the_joint() -> None:
    model = bolted()
    state = clamp(model)
    assert tension(model, state, "stud") == pytest.approx(PRELOAD, rel=1e-12)
    assert normal_force(model, state, "seat") == pytest.approx(PRELOAD, rel=1e-8)


@pytest.mark.parametrize("share", [-1.0, 0.2, 0.6, 0.99])
def test_before_parting_the_stud_takes_its_stiffness_share(share: float) -> None:
    model = bolted()
    start = clamp(model)
    pull = share * PARTING
    state = load(model, start, np.array([0.0, 0.0, pull]))
    added = pull * BOLT / (BOLT + MEMBER)
    assert tension(model, state, "stud") - PRELOAD == pytest.approx(
        added, rel=ROUGHLY_RIGID
    )
    left = PRELOAD - pull * MEMBER / (BOLT + MEMBER)
    assert normal_force(model, state, "seat") == pytest.approx(
        left, abs=ROUGHLY_RIGID * PRELOAD
    )
    rise = tip_motion(model, state)[2] - tip_motion(model, start)[2]
    assert rise == pytest.approx(pull / (BOLT + MEMBER), rel=ROUGHLY_RIGID)


@pytest.mark.parametrize("share", [1.01, 1.5, 3.0])
def test_after_parting_the_stud_carries_all(share: float) -> None:
    model = bolted()
    pull = share * PARTING
    state = load(model, clamp(model), np.array([0.0, 0.0, pull]))
    assert tension(model, state, "stud") == pytest.approx(pull, rel=1e-6)
    assert normal_force(model, state, "seat") == pytest.approx(0.0, abs=1e-6 * pull)


def test_the_faces_close_again_when_the_pull_is_gone() -> None:
    model = bolted()
    start = clamp(model)
    parted = load(model, start, np.array([0.0, 0.0, 1.5 * PARTING]))
    back = load(model, parted, np.zeros(3))
    assert tension(model, back, "stud") == pytest.approx(PRELOAD, rel=1e-6)
    assert tip_motion(model, back) == pytest.approx(tip_motion(model, start), abs=1e-9)


@pytest.mark.parametrize("yields", [False, True])
def test_a_driven_joint_carries_just_its_force_once_clamped(
    yields: bool,
) -> None:
    model = wedged(yields=yields)
    state = clamp(model)
    for name in ("wedge", "seat"):
        assert normal_force(model, state, name) == pytest.approx(DRIVE, rel=1e-8)
    driven = DRIVE / AREA * (LAW.closure + WEDGE_LAW.closure)
    assert state.advance == pytest.approx([driven], rel=ROUGHLY_RIGID)


@pytest.mark.parametrize("pull", [-2000.0, 1000.0, 3000.0])
def test_a_wedge_that_holds_shares_a_force_with_the_seat(pull: float) -> None:
    model = wedged(yields=False)
    start = clamp(model)
    state = load(model, start, np.array([0.0, 0.0, pull]))
    assert state.advance == pytest.approx(start.advance, rel=1e-12)
    shares = {"wedge": WEDGE, "seat": -MEMBER}
    for name, stiffness in shares.items():
        expected = DRIVE + pull * stiffness / (MEMBER + WEDGE)
        assert normal_force(model, state, name) == pytest.approx(
            expected, rel=ROUGHLY_RIGID
        )


@pytest.mark.parametrize("pull", [-2000.0, 1000.0, 2900.0])
def test_a_wedge_that_yields_keeps_its_force(pull: float) -> None:
    model = wedged(yields=True)
    start = clamp(model)
    state = load(model, start, np.array([0.0, 0.0, pull]))
    assert normal_force(model, state, "wedge") == pytest.approx(DRIVE, rel=1e-7)
    assert normal_force(model, state, "seat") == pytest.approx(DRIVE - pull, rel=1e-7)
    rise = tip_motion(model, state)[2] - tip_motion(model, start)[2]
    assert rise == pytest.approx(pull / MEMBER, rel=ROUGHLY_RIGID)
