"""The law of a strut: springs in series, and many sets of constants at once."""

import numpy as np
import pytest
from strut_blocks import LAW, ROOT, struck

from fea.core.strut import end_of_strut
from geometry.errors import SolveError
from geometry.pad import Pad
from geometry.units import MM_PER_UM

ROUND_OFF = 1e-12
PATCH = Pad(
    name="end",
    centre=(1.0, 2.0, 3.0),
    first=(1.0, 0.0, 0.0),
    second=(0.0, 1.0, 0.0),
    half_sizes=(4.0, 3.0),
)


def test_strut_and_the_contact_at_its_end_give_one_after_the_other() -> None:
    pressure = LAW.force / LAW.bearing
    closing = LAW.surface.normal_stiffness(pressure) * LAW.bearing
    sliding = LAW.surface.tangential_stiffness(pressure) * LAW.bearing
    along, second, normal = LAW.coefficient_stiffness(1) * LAW.area
    assert 1.0 / normal == pytest.approx(1.0 / LAW.axial + 1.0 / closing)
    assert 1.0 / along == pytest.approx(1.0 / LAW.lateral + 1.0 / sliding)
    assert second == along


def test_a_strut_pushes_in_proportion_and_never_pulls() -> None:
    law = LAW.contact
    normal = LAW.coefficient_stiffness(1)[2]
    pressure, _ = law.pressure(np.array([-1e-3, 0.0, 1e-3, 2e-3]))
    expected = [0.0, 0.0, 1e-3 * normal, 2e-3 * normal]
    assert pressure == pytest.approx(expected, rel=ROUND_OFF)


def test_sets_of_its_own_constants_are_the_law_itself() -> None:
    finish, single = LAW.surface, LAW.contact
    sets = LAW.contact_of(
        np.full(3, finish.closure_um * MM_PER_UM),
        np.full(3, finish.exponent),
        np.full(3, finish.tangential_ratio),
        np.full(3, finish.friction),
    )
    for name in ("closure", "exponent", "tangential_ratio", "friction"):
        found = getattr(sets, name)
        assert found == pytest.approx(np.full(3, getattr(single, name)))


def test_a_root_that_shifts_takes_the_end_along() -> None:
    end = end_of_strut(PATCH, PATCH.moved((0.0, 0.0, 5.0)))
    assert end[:, :3] == pytest.approx(np.eye(3), abs=ROUND_OFF)
    assert not end[2, 3:].any()


def test_without_a_gap_a_tilt_does_not_move_the_end() -> None:
    assert not end_of_strut(PATCH, PATCH)[:, 3:].any()


def test_patches_that_do_not_face_each_other_are_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("strut_blocks.ROOT", ROOT.moved((5.0, 0.0, 0.0)))
    with pytest.raises(SolveError, match=r"joint strut: .* 5 mm apart"):
        struck()
