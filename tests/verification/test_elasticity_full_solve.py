"""Elasticities of a study against finite differences of the full, coarse solve.

The quick-change stack of the study demo, its joints lifting and slipping, is solved for
eight clamping torques; the elasticity that a smooth surface through them has is held to
the central difference of two more solves.
"""

from math import log
from pathlib import Path

import pytest
from small_study import small_study

from fea.analysis.build import QUICK_CHANGE, plan_stack
from fea.case.case_file import CaseReading, with_values
from fea.study.designs import designs_of
from fea.study.figures import figures_of
from fea.study.journal import Outcome
from fea.study.run import Finished
from fea.study.sensitivity import sensitivities
from fea.study.surrogate import fit

KEY = "post.clamping.torque"
VARIED = f"""
[study.variables]
"{KEY}" = {{ from = "2 N m", to = "6 N m", count = 8 }}
[study.aims]
stiffness = "most"
"""
ABOUT, STEP = 3.6, 0.02


def stiffness(reading: CaseReading, torque: object, cache: Path) -> float:
    case = with_values(reading, {KEY: torque}).case
    plan = plan_stack(case, QUICK_CHANGE)
    return figures_of(case, plan, cache, with_safety=False).stiffness(-1)


def test_elasticity_is_that_of_the_full_solve(
    tmp_path: Path, cache_folder: Path
) -> None:
    reading = small_study(tmp_path, VARIED)
    study = reading.case.study
    tried = [
        Finished(
            design=each,
            outcome=Outcome(
                row={
                    "stiffness_n_per_um": stiffness(
                        reading, each.values[KEY], cache_folder
                    )
                },
                reason=None,
            ),
        )
        for each in designs_of(study)
    ]
    surrogate = fit(study, tried, "stiffness")
    assert surrogate is not None
    (found,) = sensitivities(surrogate, {KEY: f"{ABOUT} N m"})

    ends = [ABOUT * (1.0 - STEP), ABOUT * (1.0 + STEP)]
    low, high = (stiffness(reading, f"{end} N m", cache_folder) for end in ends)
    expected = log(high / low) / log(ends[1] / ends[0])
    assert expected > 0.01, "the torque must matter, or nothing is tested"
    # Each design is solved to 1e-6 or better; what is left is how the surface runs
    # between designs that lie 0.16 of the torque apart.
    assert found.elasticity == pytest.approx(expected, rel=0.03)
