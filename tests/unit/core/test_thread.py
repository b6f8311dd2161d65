"""Threads against ISO 898-1's stress areas and a textbook's bolt."""

import pytest

from fea.core.thread import axial_stiffness, coarse_pitch, stress_area

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
