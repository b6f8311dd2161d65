"""Threads against ISO 898-1's stress areas and a textbook's bolt."""

from math import pi

import pytest

from fea.core.thread import (
    axial_stiffness,
    coarse_pitch,
    lateral_stiffness,
    point_area,
    stress_area,
)

# pi/4 (d - 0.9382 p)² of the coarse series, as ISO 898-1 prints it to three figures.
AREAS_MM2 = {8.0: 36.6, 10.0: 58.0, 12.0: 84.3, 16.0: 156.7, 20.0: 244.8}


@pytest.mark.parametrize(("diameter", "area"), AREAS_MM2.items())
def test_stress_areas_are_the_standards(diameter: float, area: float) -> None:
    # Half a unit of the last figure, 0.05 in 36.6.
    assert stress_area(diameter) == pytest.approx(area, rel=1.4e-3)


@pytest.mark.parametrize(
    ("diameter", "length", "newtons_per_um"),
    # Shigley, eq. 8-17, threaded all along: A E / l with E = 207 GPa.
    [(12.0, 40.0, 436.0), (16.0, 60.0, 541.0), (20.0, 80.0, 633.0)],
)
def test_a_screw_threaded_all_along_is_as_stiff_as_the_textbooks(
    diameter: float, length: float, newtons_per_um: float
) -> None:
    stiffness = axial_stiffness(diameter, length, 0, 207_000.0)
    # Three figures.
    assert stiffness / 1000.0 == pytest.approx(newtons_per_um, rel=1.5e-3)


def test_the_thread_in_a_nut_gives_as_half_a_diameter_of_shank() -> None:
    held_twice = axial_stiffness(10.0, 30.0, 2, 207_000.0)
    longer = axial_stiffness(10.0, 40.0, 0, 207_000.0)
    assert held_twice == pytest.approx(longer, rel=1e-12)


def test_pitch_grows_with_size_and_inch_sizes_lie_between() -> None:
    pitches = [coarse_pitch(d) for d in (5.0, 6.35, 9.525, 12.7, 15.875)]
    assert pitches == sorted(pitches)
    # 3/8-16 has 25.4/16 mm; the metric series is within a tenth of a diameter.
    assert coarse_pitch(9.525) == pytest.approx(25.4 / 16.0, abs=0.95)


def test_a_long_free_end_bends_as_a_cantilever_and_a_short_one_shears() -> None:
    e, nu = 207_000.0, 0.3
    area = stress_area(8.0)
    second = pi / 64.0 * (4.0 * area / pi) ** 2
    held = 4.0  # half a diameter in the thread
    long, short = 400.0, 0.0
    bending = 3.0 * e * second / (long + held) ** 3
    # Shear adds 3 E I / kappa G A l², below 1e-4 at 60 diameters.
    assert lateral_stiffness(8.0, long, e, nu) == pytest.approx(bending, rel=1e-3)
    # Cowper (1966): kappa of a round section is 0.886 at nu = 0.3.
    shear = 0.886 * e / 2.6 * area / held
    both = 1.0 / (1.0 / shear + held**3 / (3.0 * e * second))
    assert lateral_stiffness(8.0, short, e, nu) == pytest.approx(both, rel=1e-3)


def test_a_flat_point_is_smaller_than_the_thread() -> None:
    # M8: 5.5 mm (ISO 4026, also in the table).
    assert point_area(8.0) == pytest.approx(pi / 4.0 * 5.5**2)
    for diameter in (4.0, 8.0, 12.0, 20.0):
        assert point_area(diameter) < stress_area(diameter)
