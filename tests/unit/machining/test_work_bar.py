from dataclasses import replace

import numpy as np
import pytest

from fea.core.material import load_materials
from fea.machining.work_bar import WorkBar, WorkHolding, work_model
from geometry.errors import InputError

BAR = WorkBar(
    diameter=25.0,
    bore=0.0,
    stick_out=75.0,
    cut_at=75.0,
    material=load_materials()["steel"],
)
HOLDING = WorkHolding(
    radial=75e3,
    axial=85e3,
    tilting=2e8,
    spindle_mass=6e-3,
    chuck_mass=8.5e-3,
    chuck_diameter=160.0,
    centre=None,
    loss_factor=0.06,
)


def stiffness(bar: WorkBar, holding: WorkHolding) -> float:
    return float(1.0 / work_model(bar, holding).static_compliance[0, 0])


def test_modes_rise_and_every_one_is_damped() -> None:
    model = work_model(BAR, HOLDING)
    assert (np.diff(model.frequency_hz) >= 0.0).all()
    assert (model.damping_ratio > 0.0).all()
    # No mode can lose more than a bar that is all spring.
    assert (model.damping_ratio <= HOLDING.loss_factor / 2.0 * (1.0 + 1e-9)).all()
    assert model.shapes.shape == (len(model.frequency_hz), 3)


def test_what_modes_leave_out_can_only_give_more() -> None:
    # Rounding against the whole compliance of 1e-4 mm/N.
    residual = work_model(BAR, HOLDING).residual
    assert np.linalg.eigvalsh(residual).min() > -1e-15


def test_a_shorter_or_thicker_or_propped_bar_is_stiffer() -> None:
    plain = stiffness(BAR, HOLDING)
    assert stiffness(replace(BAR, stick_out=50.0, cut_at=50.0), HOLDING) > plain
    assert stiffness(replace(BAR, diameter=40.0), HOLDING) > plain
    assert stiffness(replace(BAR, bore=15.0), HOLDING) < plain
    assert stiffness(BAR, replace(HOLDING, centre=40e3)) > plain + 39e3


def test_a_heavier_chuck_lowers_every_frequency() -> None:
    light = work_model(BAR, HOLDING).frequency_hz
    heavy = work_model(BAR, replace(HOLDING, chuck_mass=17e-3)).frequency_hz
    assert (heavy < light).all()


def test_a_heavier_spindle_lowers_frequencies_and_gives_no_more() -> None:
    light, heavy = (
        work_model(BAR, replace(HOLDING, spindle_mass=mass)) for mass in (3e-3, 12e-3)
    )
    assert (heavy.frequency_hz < light.frequency_hz).all()
    # Masses leave the static compliance alone; rounding of two inverses.
    assert heavy.static_compliance == pytest.approx(
        light.static_compliance, rel=1e-9, abs=1e-16
    )


def test_the_place_of_the_cut_changes_no_frequency() -> None:
    end = work_model(BAR, HOLDING).frequency_hz
    middle = work_model(replace(BAR, cut_at=37.5), HOLDING).frequency_hz
    near = work_model(replace(BAR, cut_at=3.0), HOLDING).frequency_hz
    # The same elements; near the chuck they are cut anew, within the beam's error.
    assert middle == pytest.approx(end, rel=1e-9)
    assert near[:8] == pytest.approx(end[:8], rel=1e-2)


def test_pushing_the_bar_away_tips_the_operators_side_toward_the_chuck() -> None:
    compliance = work_model(BAR, HOLDING).static_compliance
    assert compliance[1, 0] < 0.0
    assert compliance[2, 0] == compliance[2, 1] == 0.0


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"bore": 25.0}, "bore = 25 mm"),
        ({"bore": -1.0}, "bore = -1 mm"),
        ({"cut_at": 76.0}, "cut_at = 76 mm"),
        ({"cut_at": 0.0}, "cut_at = 0 mm"),
    ],
)
def test_what_is_no_bar_is_refused(changes: dict[str, float], said: str) -> None:
    with pytest.raises(InputError, match=said):
        replace(BAR, **changes)
