import math

import pytest

from fea.machining.cut import Cut
from geometry.errors import InputError

USUAL = {
    "feed_mm": 0.1,
    "entering_angle_deg": 75.0,
    "nose_radius_mm": 0.4,
    "rake_deg": 6.0,
}


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("feed_mm", 0.0),
        ("feed_mm", -0.1),
        ("feed_mm", 50.0),
        ("feed_mm", math.nan),
        ("entering_angle_deg", 29.0),
        ("entering_angle_deg", 120.0),
        ("nose_radius_mm", -0.1),
        ("nose_radius_mm", math.inf),
        ("rake_deg", 45.0),
    ],
)
def test_an_impossible_cut_names_the_value_and_what_is_allowed(
    name: str, value: float
) -> None:
    with pytest.raises(InputError) as refusal:
        Cut(**(USUAL | {name: value}))
    text = str(refusal.value)
    assert text.startswith(f"cut.{name} = {value:g} ")
    assert "must be a number from" in text


def test_a_sharp_corner_and_a_leading_nose_are_accepted() -> None:
    cut = Cut(**(USUAL | {"nose_radius_mm": 0.0, "entering_angle_deg": 95.0}))
    assert cut.entering_angle == pytest.approx(math.radians(95.0))
