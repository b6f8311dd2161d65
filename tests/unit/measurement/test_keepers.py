"""Stacks in processes of their own say what they say here, and what is wrong."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from linear_model import DOWN, HERE, push

from fea.case.schema import Case
from fea.measurement.forward_model import forward_model
from fea.measurement.keepers import keepers
from fea.measurement.record import PushReading, Records, Spot
from fea.measurement.station import Station
from geometry.errors import InputError

ON_TOOL = Spot(part="tool bit", x_mm=3.0, y_mm=3.0, z_mm=0.0)


def on_both(spot: Spot) -> Records:
    pushed = replace(push(10.0), force_at=spot, read_at=spot, read_along=DOWN)
    block: PushReading = replace(pushed, stack="four-way")
    return Records(pushes=(pushed, block))


def test_processes_predict_what_this_one_does(
    coarse_case: Case, cache_folder: Path
) -> None:
    records = on_both(ON_TOOL)
    here = forward_model(coarse_case, records, Station(coarse_case, cache_folder).rig)
    scores = np.random.default_rng(3).standard_normal((4, here.unknowns.count))
    expected = here.predicted(scores, here.slip(scores[0]))
    with keepers(coarse_case, cache_folder, 2) as who:
        there = forward_model(coarse_case, records, who.rig)
        assert there.unknowns == here.unknowns
        found = there.predicted(scores, there.slip(scores[0]))
    assert np.ptp(expected, axis=0).min() > 0.0
    assert found == pytest.approx(expected, rel=1e-9)


def test_a_spot_in_the_air_is_told_from_a_process(
    coarse_case: Case, cache_folder: Path
) -> None:
    air = replace(ON_TOOL, z_mm=90.0)
    with (
        pytest.raises(InputError, match=f"{HERE}.*off the surface of the tool bit"),
        keepers(coarse_case, cache_folder, 2) as who,
    ):
        forward_model(coarse_case, on_both(air), who.rig)
