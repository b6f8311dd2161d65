import numpy as np
import pytest

from fea.core.joint import FootLaw, LinearLaw
from fea.core.pad_functions import ALONG_FIRST, ALONG_SECOND

SPRINGS = LinearLaw(first=1.0, second=2.0, normal=5.0)


def test_a_linear_law_is_as_stiff_to_every_function() -> None:
    stiffness = SPRINGS.coefficient_stiffness(4).reshape(4, 3)
    assert np.array_equal(stiffness, np.tile([1.0, 2.0, 5.0], (4, 1)))


def test_a_foot_as_wide_as_the_pad_changes_nothing() -> None:
    foot = FootLaw(springs=SPRINGS, inertia=0.0, wider=1.0, longer=1.0)
    found = foot.coefficient_stiffness(21)
    assert np.array_equal(found, SPRINGS.coefficient_stiffness(21))


def test_a_wider_foot_resists_tilting_and_not_shifting() -> None:
    foot = FootLaw(springs=SPRINGS, inertia=0.0, wider=2.0, longer=3.0)
    shift, *tilts = foot.coefficient_stiffness(6).reshape(6, 3)
    assert np.array_equal(shift, [1.0, 2.0, 5.0])
    # Springs spread over twice the width resist a tilt across it four times as much.
    assert tilts[ALONG_FIRST - 1][2] == pytest.approx(4.0 * 5.0)
    assert tilts[ALONG_SECOND - 1][2] == pytest.approx(9.0 * 5.0)
    for bent in tilts[2:]:
        assert np.array_equal(bent, [1.0, 2.0, 5.0])


def test_a_foot_under_a_mean_only_is_its_springs() -> None:
    foot = FootLaw(springs=SPRINGS, inertia=0.0, wider=2.0, longer=3.0)
    assert np.array_equal(foot.coefficient_stiffness(1), [1.0, 2.0, 5.0])


def test_what_stands_on_a_foot_weighs_its_mass_and_turns_as_a_plate_of_the_foot() -> (
    None
):
    # A pad of a by b carries m evenly; on a foot twice and three times as large the
    # plate's moments of inertia about its sides grow by the squares, its mass does not.
    foot = FootLaw(springs=SPRINGS, inertia=2.0, wider=2.0, longer=3.0)
    even = FootLaw(springs=SPRINGS, inertia=2.0, wider=1.0, longer=1.0)
    ratio = (foot.coefficient_mass(3) / even.coefficient_mass(3)).reshape(3, 3)
    assert ratio[0] == pytest.approx([1.0, 1.0, 1.0])
    assert sorted({*ratio[1:, 2]}) == pytest.approx([4.0, 9.0])
    assert even.coefficient_mass(3) == pytest.approx(np.full(9, 2.0))
