"""The bar in the chuck against Timoshenko's beam, static and natural frequencies.

Sources: Timoshenko's equations of the beam with shear and rotary inertia (Phil. Mag. 41
(1921) 744) for harmonic motion, carried over the whole length by one transfer matrix
and solved for their roots here; the reference itself is held against Blevins' roots of
the slender beam (table 8-1: 1.875104, 4.694091; 4.730041, 7.853205; 3.926602, 7.068583)
and against the closed form of a 10 x 10 x 100 mm cantilever (829.04 and 4971.8 Hz).
Static: deflection F L³/3EI + F L/kGA with springs in series; propped beam by the method
of forces. Coefficients: Cowper, J. Appl. Mech. 33 (1966) 335 (circle 0.88636 at
nu = 0.3; thin tube 2 (1 + nu)/(4 + 3 nu)).
"""

from collections.abc import Callable
from dataclasses import replace
from math import pi, sqrt

import numpy as np
import pytest
from block_mesh import material
from held_work import HOLDING
from scipy.linalg import expm
from scipy.optimize import brentq

from fea.machining.beam import RoundSection, bending_matrices, stretching_matrices
from fea.machining.work_bar import WorkBar, WorkHolding, work_model

E, NU, DENSITY = 205_000.0, 0.3, 7.85e-9
STEEL = material(E, NU, 7850.0)
SHEAR_MODULUS = E / (2.0 * (1.0 + NU))
# Stiffer than any bar here by nine orders, and lighter: a wall.
WALL, NOTHING = 1e15, 1e-15

# Whole inverse of a matrix whose entries differ by the square of the length.
ROUND_OFF = 1e-9
# Sixteen elements, thinner than the bar: their error falls with the square of their
# length. Measured 4.6e-4, 2.6e-3 and 5.4e-3 at most for the first three modes.
ELEMENTS = (6e-4, 3e-3, 7e-3)

# Unknowns that vanish at the near and at the far end: deflection 0, rotation 1,
# moment 2, shear 3.
CLAMPED, FREE, PINNED = (0, 1), (2, 3), (0, 2)
Ends = tuple[tuple[int, int], tuple[int, int]]


def frequencies(
    area: float, second: float, shear: float, length: float, ends: Ends, count: int
) -> list[float]:
    """Lowest roots of the beam between two ends. [Hz]."""
    near, far = ends
    unknown = [i for i in range(4) if i not in near]

    def left(omega: float) -> float:
        rate = np.zeros((4, 4))
        rate[0, 1], rate[0, 3] = 1.0, 1.0 / (shear * SHEAR_MODULUS * area)
        rate[1, 2] = 1.0 / (E * second)
        rate[2, 1], rate[2, 3] = -DENSITY * second * omega**2, -1.0
        rate[3, 0] = -DENSITY * area * omega**2
        over = expm(rate * length)
        return float(np.linalg.det(over[np.ix_(far, unknown)]))

    slender = sqrt(E * second / (DENSITY * area)) / length**2
    grid = slender * np.linspace(1.0, 150.0, 1500)
    values = [left(omega) for omega in grid]
    roots = [
        float(brentq(left, grid[i], grid[i + 1], rtol=1e-12)) / (2.0 * pi)
        for i in range(len(grid) - 1)
        if values[i] * values[i + 1] < 0.0
    ]
    return roots[:count]


def round_bar(length: float, ends: Ends, count: int, bore: float = 0.0) -> list[float]:
    section = RoundSection(diameter=20.0, bore=bore, material=STEEL)
    return frequencies(
        section.area,
        section.second_moment,
        section.shear_coefficient,
        length,
        ends,
        count,
    )


def bar(**changes: float) -> WorkBar:
    standard = WorkBar(
        diameter=20.0,
        bore=0.0,
        stick_out=80.0,
        cut_at=80.0,
        material=STEEL,
    )
    return replace(standard, **changes)


def held(**changes: float | None) -> WorkHolding:
    return replace(HOLDING, **changes)


def in_a_wall(centre: float | None = None) -> WorkHolding:
    return held(
        radial=WALL,
        tilting=WALL,
        axial=WALL,
        spindle_mass=NOTHING,
        chuck_mass=NOTHING,
        centre=centre,
    )


def assert_near(found: np.ndarray, exact: list[float]) -> None:
    """Hold frequencies against exact ones; elements can only be too stiff."""
    off = np.asarray(found) / exact - 1.0
    assert (off >= -ROUND_OFF).all()
    assert (off < ELEMENTS[: len(exact)]).all()


def across(found: np.ndarray, shapes: np.ndarray) -> np.ndarray:
    """Frequencies of the modes that move the cut up and down only."""
    return found[(shapes[:, 0] == 0.0) & (shapes[:, 1] == 0.0)]


@pytest.mark.parametrize(
    ("ends", "roots"),
    [
        ((CLAMPED, FREE), (1.875104, 4.694091)),
        ((FREE, FREE), (4.730041, 7.853205)),
        ((CLAMPED, CLAMPED), (4.730041, 7.853205)),
        ((CLAMPED, PINNED), (3.926602, 7.068583)),
    ],
)
def test_the_reference_has_the_handbooks_roots_for_a_slender_beam(
    ends: Ends, roots: tuple[float, float]
) -> None:
    length, section = 4000.0, RoundSection(diameter=20.0, bore=0.0, material=STEEL)
    speed = sqrt(E * section.second_moment / (DENSITY * section.area))
    slender = [root**2 * speed / length**2 / (2.0 * pi) for root in roots]
    # Shear and rotary inertia still count, with the square of 1 to 200 times the root.
    assert round_bar(length, ends, 2) == pytest.approx(slender, rel=1e-3)


def test_the_reference_has_the_stubby_beam_of_the_closed_form() -> None:
    shear = 10.0 * (1.0 + NU) / (12.0 + 11.0 * NU)
    found = frequencies(100.0, 1e4 / 12.0, shear, 100.0, (CLAMPED, FREE), 2)
    scale = sqrt(210_000.0 / E)
    # Five digits are printed.
    assert np.multiply(found, scale) == pytest.approx([829.04, 4971.8], rel=2e-5)


@pytest.mark.parametrize("length", [60.0, 200.0])
@pytest.mark.parametrize("bore", [0.0, 14.0])
def test_a_bar_in_a_wall_rings_as_timoshenkos_cantilever(
    length: float, bore: float
) -> None:
    model = work_model(bar(stick_out=length, cut_at=length, bore=bore), in_a_wall())
    found = across(model.frequency_hz, model.shapes)[:3]
    exact = round_bar(length, (CLAMPED, FREE), 3, bore)
    assert_near(found, exact)


def test_chuck_and_spindle_ring_on_their_springs_with_a_stub_in_the_jaws() -> None:
    by = held(tilting=WALL, spindle_mass=6e-3)
    stub = bar(stick_out=5.0, cut_at=5.0)
    model = work_model(stub, by)
    section = RoundSection(diameter=20.0, bore=0.0, material=STEEL)
    chucked = by.chuck_mass + DENSITY * section.area * 5.0
    # A rod about its rear end has m L²/3: a third of its mass at its nose.
    across_it = sqrt(by.radial / (chucked + 2e-3)) / (2.0 * pi)
    along_it = sqrt(by.axial / (chucked + 6e-3)) / (2.0 * pi)
    # The stub itself gives by 1e-3 of what the springs do, and bears 1e-3 of the mass.
    exact = sorted([across_it, across_it, along_it])
    assert sorted(model.frequency_hz)[:3] == pytest.approx(exact, rel=1e-5)


@pytest.mark.parametrize("length", [120.0, 300.0])
def test_a_rigid_centre_makes_a_clamped_and_pinned_beam(length: float) -> None:
    work = bar(stick_out=length, cut_at=0.4 * length)
    model = work_model(work, in_a_wall(centre=WALL))
    found = across(model.frequency_hz, model.shapes)[:2]
    exact = round_bar(length, (CLAMPED, PINNED), 2)
    assert_near(found, exact)


def beam_frequencies(elements: int, fixed: int = 0) -> np.ndarray:
    """A beam of 100 mm, free or with its first and last unknowns fixed. [Hz]."""
    section = RoundSection(diameter=20.0, bore=0.0, material=STEEL)
    matrices = bending_matrices(section, np.full(elements, 100.0 / elements))
    inner = slice(fixed, len(matrices[0]) - fixed)
    stiffness, mass = (each[inner, inner] for each in matrices)
    square = np.linalg.eigvals(np.linalg.solve(mass, stiffness)).real
    return np.sqrt(np.sort(np.abs(square))) / (2.0 * pi)


@pytest.mark.parametrize(
    ("ends", "fixed", "first"), [((FREE, FREE), 0, 2), ((CLAMPED, CLAMPED), 2, 0)]
)
def test_free_and_clamped_beams_have_timoshenkos_frequencies(
    ends: Ends, fixed: int, first: int
) -> None:
    found = beam_frequencies(16, fixed)[first : first + 2]
    assert_near(found, round_bar(100.0, ends, 2))


def test_a_free_beam_moves_rigidly_without_force_and_weighs_what_it_should() -> None:
    section = RoundSection(diameter=20.0, bore=8.0, material=STEEL)
    lengths = np.array([10.0, 25.0, 5.0])
    stiffness, mass = bending_matrices(section, lengths)
    place = np.concatenate([[0.0], np.cumsum(lengths)])
    shift, turn = np.zeros((2, 8))
    shift[::2], turn[::2], turn[1::2] = 1.0, place, 1.0
    weight = section.area * 40.0 * DENSITY
    about = weight * 40.0**2 / 3.0 + section.second_moment * 40.0 * DENSITY
    scale = np.abs(stiffness).max() * ROUND_OFF
    assert stiffness @ np.column_stack([shift, turn]) == pytest.approx(0.0, abs=scale)
    assert shift @ mass @ shift == pytest.approx(weight, rel=ROUND_OFF)
    assert turn @ mass @ turn == pytest.approx(about, rel=ROUND_OFF)


def test_frequencies_converge_with_the_square_of_the_elements_length() -> None:
    exact = round_bar(100.0, (FREE, FREE), 1)[0]
    errors = [beam_frequencies(count)[2] / exact - 1.0 for count in (8, 16, 32)]
    # 2²; the next term of the error is a hundredth of the first.
    assert np.divide(errors[:-1], errors[1:]) == pytest.approx(4.0, rel=0.02)


def test_a_stretched_bar_has_the_frequency_of_the_closed_form() -> None:
    section = RoundSection(diameter=20.0, bore=0.0, material=STEEL)
    stiffness, mass = stretching_matrices(section, np.full(40, 2.5))
    square = np.sort(np.linalg.eigvals(np.linalg.solve(mass, stiffness)).real)
    exact = sqrt(E / DENSITY) / (2.0 * 100.0)
    # Linear elements: (pi / 40)² / 24 too high.
    assert sqrt(square[1]) / (2.0 * pi) == pytest.approx(exact, rel=3e-4)


def bending_give(work: WorkBar, held_by: WorkHolding) -> Callable[..., float]:
    """Deflection at one place for a unit force at another, in closed form. [mm/N]."""
    section = RoundSection(diameter=work.diameter, bore=work.bore, material=STEEL)
    rigidity = E * section.second_moment
    shear = section.shear_coefficient * SHEAR_MODULUS * section.area

    def give(first: float, second: float) -> float:
        a, b = sorted((first, second))
        bent = a**2 * (3.0 * b - a) / (6.0 * rigidity) + a / shear
        return bent + 1.0 / held_by.radial + a * b / held_by.tilting

    return give


@pytest.mark.parametrize("bore", [0.0, 12.0])
@pytest.mark.parametrize("cut_at", [1.5, 30.0, 79.9, 80.0])
def test_static_give_is_beam_and_springs_in_series(bore: float, cut_at: float) -> None:
    work, by = bar(bore=bore, cut_at=cut_at), held()
    found = work_model(work, by).static_compliance
    section = RoundSection(diameter=20.0, bore=bore, material=STEEL)
    rigidity, radius = E * section.second_moment, 10.0
    turned = cut_at / rigidity + 1.0 / by.tilting
    along = cut_at / (E * section.area) + 1.0 / by.axial + radius**2 * turned
    joint = -radius * (cut_at**2 / (2.0 * rigidity) + cut_at / by.tilting)
    give = bending_give(work, by)(cut_at, cut_at)
    exact = [[give, joint, 0.0], [joint, along, 0.0], [0.0, 0.0, give]]
    assert found == pytest.approx(np.array(exact), rel=ROUND_OFF, abs=1e-18)


@pytest.mark.parametrize("cut_at", [20.0, 60.0, 120.0])
def test_a_centre_props_the_bar_by_the_method_of_forces(cut_at: float) -> None:
    work, by = bar(stick_out=120.0, cut_at=cut_at), held(centre=45e3)
    give = bending_give(work, by)
    held_back = give(cut_at, 120.0) ** 2 / (give(120.0, 120.0) + 1.0 / 45e3)
    found = work_model(work, by).static_compliance[2, 2]
    assert found == pytest.approx(give(cut_at, cut_at) - held_back, rel=ROUND_OFF)


def test_cowpers_coefficient_is_that_of_circle_and_thin_tube() -> None:
    solid = RoundSection(diameter=20.0, bore=0.0, material=STEEL)
    tube = RoundSection(diameter=20.0, bore=19.999, material=STEEL)
    # Five digits are printed; the tube's wall is a twenty-thousandth of its diameter.
    assert solid.shear_coefficient == pytest.approx(0.88636, rel=1e-5)
    assert tube.shear_coefficient == pytest.approx(2.6 / 4.9, rel=1e-4)
