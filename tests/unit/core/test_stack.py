from dataclasses import replace

import numpy as np
import pytest
from block_mesh import block_mesh, flat_pad, material, placed

from fea.analysis.response import tip_compliance
from fea.core.joint import Joint, LinearLaw, Link, PadRef
from fea.core.reduction import Settings, reduce_part
from fea.core.stack import Part, Stack
from geometry.errors import SolveError
from geometry.pad import Pad

SIZES = (40.0, 30.0, 20.0)
STEEL = material()
FIRM = LinearLaw(first=300.0, second=300.0, normal=900.0)
SLIDING = LinearLaw(first=0.0, second=0.0, normal=900.0)

GROUND = flat_pad("ground", (0.0, 40.0), (0.0, 30.0), 0.0)
SEAT = flat_pad("seat", (0.0, 40.0), (0.0, 30.0), 20.0)
TIP = flat_pad("tip", (0.0, 10.0), (0.0, 10.0), 40.0)
TIP_REF = PadRef(part="upper", pad="tip")
BED = Joint(name="bed", lower=None, upper=PadRef(part="lower", pad="ground"), law=FIRM)
JOINT = Joint(
    name="seat",
    lower=PadRef(part="lower", pad="seat"),
    upper=PadRef(part="upper", pad="seat"),
    law=FIRM,
)


def block(name: str, height: float, contacts: tuple[Pad, ...], tip: Pad) -> Part:
    down = (0.0, 0.0, -height)
    own = tuple(pad.moved(down) for pad in contacts)
    mesh = block_mesh(SIZES, (4, 3, 2), (*own, tip.moved(down)))
    reduced = reduce_part(
        mesh, own, (tip.moved(down),), STEEL.poissons_ratio, Settings(degree=2, modes=6)
    )
    part = placed(name, reduced, STEEL, (*contacts, tip))
    return replace(part, origin=np.array([0.0, 0.0, height]))


@pytest.fixture(scope="module")
def parts() -> tuple[Part, Part]:
    """Two blocks of steel, one upon the other."""
    head = flat_pad("head", (0.0, 10.0), (0.0, 10.0), 20.0)
    return (
        block("lower", 0.0, (GROUND, SEAT), head),
        block("upper", 20.0, (SEAT,), TIP),
    )


def test_a_part_that_nothing_holds_is_named(parts: tuple[Part, Part]) -> None:
    with pytest.raises(SolveError, match="nothing holds upper"):
        Stack(parts, [BED], [], TIP_REF)


def test_a_part_that_can_slide_is_named(parts: tuple[Part, Part]) -> None:
    with pytest.raises(SolveError, match="nothing holds upper"):
        Stack(parts, [BED, replace(JOINT, law=SLIDING)], [], TIP_REF)


def test_a_link_alone_does_not_hold_a_part(parts: tuple[Part, Part]) -> None:
    link = Link(
        name="stud",
        lower=PadRef(part="lower", pad="head"),
        upper=TIP_REF,
        stiffness=1e6,
        preload=0.0,
    )
    with pytest.raises(SolveError, match="nothing holds upper"):
        Stack(parts, [BED], [link], TIP_REF)


def test_a_stack_without_ground_is_refused(parts: tuple[Part, Part]) -> None:
    with pytest.raises(SolveError, match=r"nothing holds (lower|upper)"):
        Stack(parts, [JOINT], [], TIP_REF)


@pytest.mark.parametrize("shift", [(0.01, 0.0, 0.0), (0.0, 0.0, 0.5)])
def test_pads_that_do_not_lie_on_each_other_are_refused(
    parts: tuple[Part, Part], shift: tuple[float, float, float]
) -> None:
    lower, upper = parts
    pads = dict(upper.pads) | {"seat": SEAT.moved(shift)}
    with pytest.raises(SolveError, match=r"joint seat: .* mm apart"):
        Stack([lower, replace(upper, pads=pads)], [BED, JOINT], [], TIP_REF)


def test_energy_goes_to_members_by_name(parts: tuple[Part, Part]) -> None:
    stack = Stack(parts, [BED, JOINT], [], TIP_REF)
    state = stack.respond(stack.tip_rows.T @ np.array([0.0, 0.0, -900.0]))
    energies = stack.energies(state, state)
    assert set(energies) == {"lower", "upper", "bed", "seat"}
    assert min(energies.values()) > 0.0


def test_displacement_at_the_tip_is_the_tips(parts: tuple[Part, Part]) -> None:
    stack = Stack(parts, [BED, JOINT], [], TIP_REF)
    state = stack.respond(stack.tip_rows.T @ np.array([50.0, 0.0, -900.0]))
    field = stack.displacement("upper", state)
    points = parts[1].reduced.points + parts[1].origin
    on_tip = TIP.contains(points)
    # The patch is a single cell, its corners stand for it within its own bending.
    assert field[on_tip].mean(axis=0) == pytest.approx(stack.tip_rows @ state, rel=0.1)


def test_modes_are_orthonormal_in_mass_and_stiffness(parts: tuple[Part, Part]) -> None:
    stack = Stack(parts, [BED, JOINT], [], TIP_REF)
    frequencies, shapes = stack.modes(5)
    assert np.all(np.diff(frequencies) >= 0.0)
    gram = shapes.T @ stack.mass @ shapes
    assert np.abs(gram - np.eye(5)).max() < 1e-9
    squared = np.diag(shapes.T @ stack.stiffness @ shapes)
    assert np.sqrt(squared) / (2.0 * np.pi) == pytest.approx(frequencies, rel=1e-9)


def test_softer_steel_makes_a_softer_and_slower_stack(parts: tuple[Part, Part]) -> None:
    hard = Stack(parts, [BED, JOINT], [], TIP_REF)
    lead = replace(STEEL, youngs_modulus_mpa=STEEL.youngs_modulus_mpa / 10.0)
    soft = Stack(
        [replace(part, material=lead) for part in parts], [BED, JOINT], [], TIP_REF
    )
    gained = np.linalg.eigvalsh(tip_compliance(soft) - tip_compliance(hard))
    assert gained.min() > 0.0
    assert np.all(soft.modes(5)[0] < hard.modes(5)[0])
