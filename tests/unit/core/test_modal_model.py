import numpy as np
import pytest

from fea.core.modal_model import ModalModel, lowest_modes, receptance

MODEL = ModalModel(
    frequency_hz=np.array([180.0, 260.0, 4000.0]),
    damping_ratio=np.array([0.03, 0.04, 0.02]),
    shapes=np.array([[6.0, 4.0, -3.0], [-3.0, 7.0, 5.0], [20.0, -30.0, 10.0]]),
    residual=np.eye(3) * 1e-6,
)


def test_fast_modes_that_are_left_out_keep_their_static_compliance() -> None:
    slow = lowest_modes(MODEL, 2)
    assert slow.frequency_hz.tolist() == [180.0, 260.0]
    assert slow.static_compliance == pytest.approx(MODEL.static_compliance, rel=1e-12)


def test_at_low_frequencies_fast_modes_follow_without_delay() -> None:
    slow, full = (
        receptance(model, np.array([200.0]))
        for model in (lowest_modes(MODEL, 2), MODEL)
    )
    # What a mode does beyond its static part: (200/4000)² of it, and its damping.
    fast = np.abs(MODEL.shapes[2]).max() ** 2 / (2.0 * np.pi * 4000.0) ** 2
    assert np.abs(slow - full).max() < 0.01 * fast
    none = lowest_modes(MODEL, 0)
    assert none.residual == pytest.approx(MODEL.static_compliance)
