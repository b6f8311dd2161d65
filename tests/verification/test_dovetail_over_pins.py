"""Dovetails over pins: worked examples, and circles laid against the section.

Machinery's Handbook, measuring dovetail slides: x = a + D (1 + cot(θ/2)) over pins,
y = b - D (1 + cot(θ/2)) between them, b - a = 2 h cot θ. Its examples are printed to
four decimals. The circles are found from the corners of the drawn section, as the
points at one radius from two lines, without any of these formulas.
"""

import numpy as np
import pytest

from geometry.dovetail import Dovetail
from geometry.over_pins import (
    HIGHEST_CONTACT,
    between_pins,
    contact_height,
    female_pin,
    male_pin,
    narrow_from_reading,
    over_pins,
    pin_allowance,
    reading_per_degree,
    touches,
    usual_pins,
    wide_from_reading,
)
from geometry.pad import FloatArray

# Half of the last printed decimal.
PRINTED = 5e-5
# Round-off of lengths up to 150 mm through one 2 x 2 solve.
ROUND_OFF_MM = 1e-10
INCH = 25.4


def random_dovetails(count: int) -> list[tuple[Dovetail, float]]:
    """Dovetails with a pin each, of any size that a lathe's post may have."""
    rng = np.random.default_rng(8)
    found = []
    while len(found) < count:
        angle, depth = rng.uniform(40.0, 75.0), rng.uniform(2.0, 40.0)
        least = 2.0 * depth / np.tan(np.radians(angle)) + 1.0
        dovetail = Dovetail(
            width=rng.uniform(least, least + 100.0),
            depth=depth,
            angle_deg=angle,
            clearance=rng.uniform(0.0, 2.0),
        )
        found.append((dovetail, rng.uniform(0.2, 1.2) * depth))
    return found


def centre_of_circle(
    radius: float, lines: tuple[FloatArray, FloatArray], inside: FloatArray
) -> FloatArray:
    """Where a circle touches two lines on the side of a point.

    Lines as (2, 2): two points each. The distance from each line is the radius.
    """
    normals, offsets = [], []
    for start, end in lines:
        along = (end - start) / np.linalg.norm(end - start)
        normal = np.array([-along[1], along[0]])
        normal = normal * np.sign((inside - start) @ normal)
        normals.append(normal)
        offsets.append(normal @ start + radius)
    return np.linalg.solve(np.array(normals), np.array(offsets))


def foot(point: FloatArray, line: FloatArray) -> float:
    """Where a circle about a point touches a line, 0 at its start and 1 at its end."""
    along = line[1] - line[0]
    return float((point - line[0]) @ along / (along @ along))


def test_the_handbook_example_of_a_male_dovetail_is_met() -> None:
    assert over_pins(1.000 * INCH, 0.250 * INCH, 60.0) / INCH == pytest.approx(
        1.6830, abs=PRINTED
    )
    assert narrow_from_reading(1.6830, 0.250, 60.0) == pytest.approx(1.0, abs=PRINTED)


def test_the_handbook_example_of_the_two_widths_is_met() -> None:
    dovetail = Dovetail(width=24.6188, depth=4.0, angle_deg=60.0, clearance=0.0)
    assert dovetail.root_width == pytest.approx(20.0, abs=PRINTED)


@pytest.mark.parametrize(
    ("angle", "factor"),
    [(45.0, 3.41421), (50.0, 3.14451), (55.0, 2.92098), (60.0, 2.73205)],
)
def test_the_factor_of_a_pin_is_that_of_the_tables(angle: float, factor: float) -> None:
    # Half of the fifth decimal.
    assert pin_allowance(1.0, angle) == pytest.approx(factor, abs=5e-6)


def test_circles_laid_into_a_thousand_male_dovetails_read_the_same() -> None:
    for dovetail, pin in random_dovetails(1000):
        _, root, top, _ = dovetail.section(dovetail.depth)
        face = np.array([root, root + np.array([1.0, 0.0])])
        flank = np.array([root, top])
        outside = root + np.array([1.0, 1e-3])
        centre = centre_of_circle(pin / 2.0, (face, flank), outside)
        reading = 2.0 * (centre[0] + pin / 2.0)
        angle = dovetail.angle_deg
        expected = over_pins(dovetail.root_width, pin, angle)
        assert expected == pytest.approx(reading, abs=ROUND_OFF_MM)
        assert narrow_from_reading(reading, pin, angle) == pytest.approx(
            dovetail.root_width, abs=ROUND_OFF_MM
        )
        height = foot(centre, flank) * dovetail.depth
        assert contact_height(pin, angle) == pytest.approx(height, abs=ROUND_OFF_MM)
        past_the_edge = centre[0] + pin / 2.0 > top[0]
        below_the_edge = height <= HIGHEST_CONTACT * dovetail.depth
        fits = bool(past_the_edge and below_the_edge)
        assert touches(pin, dovetail.depth, angle) == fits


def test_circles_laid_into_a_thousand_female_dovetails_read_the_same() -> None:
    for dovetail, pin in random_dovetails(1000):
        _, mouth, bottom, other = dovetail.section(dovetail.female_depth)
        floor, flank = np.array([bottom, other]), np.array([bottom, mouth])
        inside = np.array([0.0, dovetail.female_depth / 2.0])
        centre = centre_of_circle(pin / 2.0, (floor, flank), inside)
        reading = 2.0 * (centre[0] - pin / 2.0)
        angle = dovetail.angle_deg
        expected = between_pins(dovetail.female_width, pin, angle)
        assert expected == pytest.approx(reading, abs=ROUND_OFF_MM)
        assert wide_from_reading(reading, pin, angle) == pytest.approx(
            dovetail.female_width, abs=ROUND_OFF_MM
        )
        height = foot(centre, flank) * dovetail.female_depth
        assert contact_height(pin, angle) == pytest.approx(height, abs=ROUND_OFF_MM)


def test_a_steeper_flank_reads_as_the_sensitivity_says() -> None:
    step = 1e-4
    for dovetail, pin in random_dovetails(50):
        angle = dovetail.angle_deg
        high, low = (over_pins(20.0, pin, angle + side * step) for side in (1, -1))
        # Central difference: the next term is a step squared, below the round-off of
        # two readings over the step.
        slope = (high - low) / (2.0 * step)
        assert reading_per_degree(pin, angle) == pytest.approx(-slope, rel=1e-6)


@pytest.mark.parametrize("system", ["mm", "in"])
def test_the_pin_chosen_is_the_usual_one_that_touches_nearest_the_middle(
    system: str,
) -> None:
    none_fits = 0
    for dovetail, _ in random_dovetails(200):
        depth, angle = dovetail.depth, dovetail.angle_deg
        chosen = male_pin(depth, angle, system)
        allowed = [
            pin for pin in usual_pins(system) if touches(pin.diameter, depth, angle)
        ]
        none_fits += not allowed
        off = [abs(contact_height(p.diameter, angle) - depth / 2.0) for p in allowed]
        assert chosen == (allowed[int(np.argmin(off))] if allowed else None)
    assert none_fits < 20


def test_one_pin_serves_both_dovetails_where_it_can() -> None:
    tail = Dovetail(width=42.0, depth=9.0, angle_deg=60.0, clearance=0.5)
    male = male_pin(tail.depth, tail.angle_deg, "mm")
    assert male is not None
    assert male.name == "6 mm"
    assert contact_height(male.diameter, 60.0) == pytest.approx(tail.depth / 2.0)
    female = female_pin(tail.female_width, tail.female_depth, 60.0, "mm", male)
    assert female == male


def test_pins_that_would_meet_in_a_narrow_female_dovetail_are_not_chosen() -> None:
    first = male_pin(9.0, 60.0, "mm")
    assert first is not None
    assert between_pins(15.0, first.diameter, 60.0) < 0.0
    thinner = female_pin(15.0, 9.0, 60.0, "mm", first)
    assert thinner is not None
    assert between_pins(15.0, thinner.diameter, 60.0) > 0.0
    assert female_pin(12.0, 9.0, 60.0, "mm", first) is None
