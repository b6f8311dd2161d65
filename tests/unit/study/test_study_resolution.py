"""Below which difference two designs count as equal."""

from math import nan

import numpy as np
import pytest
from invented_study import OFFSET, WIDTH, listed, smooth, solved, study_of, varied

from fea.study.resolution import MESH_SHARE, resolution
from fea.study.surrogate import fit


def test_smooth_measure_is_told_apart_as_finely_as_the_meshes_allow() -> None:
    study = study_of(varied(WIDTH, OFFSET, count=5))
    designs = solved(study, smooth)
    surrogate = fit(study, designs, "stiffness_ratio")
    best = max(each.outcome.row["stiffness_ratio"] for each in designs)
    alike = resolution("stiffness_ratio", designs, surrogate)
    assert alike == pytest.approx(MESH_SHARE * best)


def test_what_scatters_more_than_the_meshes_is_told_apart_less_finely() -> None:
    random = np.random.default_rng(8)
    study = study_of(varied(WIDTH, OFFSET))
    designs = solved(
        study,
        lambda at: {"stiffness_ratio": 0.6 + 0.2 * at[WIDTH] + 0.02 * random.normal()},
    )
    surrogate = fit(study, designs, "stiffness_ratio")
    assert surrogate is not None
    alike = resolution("stiffness_ratio", designs, surrogate)
    # The scatter of a difference of two; 7 % from 100 designs, three times that.
    assert alike == pytest.approx(2.0**0.5 * 0.02, rel=0.25)


def test_what_the_drawing_says_is_exact() -> None:
    study, designs = listed([{"mass_kg": 2.0}, {"mass_kg": 3.0}])
    assert study.limits == ()
    assert resolution("mass", designs, None) == 0.0


def test_unknown_values_have_no_say() -> None:
    _, designs = listed([{"frequency_hz": nan}, {"frequency_hz": 200.0}])
    assert resolution("frequency", designs, None) == pytest.approx(MESH_SHARE * 200.0)
    assert resolution("frequency", designs[:1], None) == 0.0
