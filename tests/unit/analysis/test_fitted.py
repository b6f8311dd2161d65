"""A calibrated case: fitted constants in place of the expected ones, bands narrower."""

from pathlib import Path

import numpy as np
import pytest
from scipy.special import ndtri

from fea.analysis.bands import sample_bands
from fea.analysis.build import build_planned, fineness, plan_stack
from fea.analysis.common_draw import common_draw
from fea.analysis.cut import TANGENTIAL, force_at
from fea.analysis.draw import GROUND, SAMPLES
from fea.analysis.fitted import fitted
from fea.analysis.stack_answer import answer_stack
from fea.analysis.stack_names import QUICK_CHANGE
from fea.case.case_file import load_case
from fea.case.schema import Case
from fea.case.table_spread import ground_spread
from fea.core.joint import FootLaw
from fea.core.surface_law import SurfaceLaw
from fea.measurement.calibrated_case import calibrated_text
from fea.measurement.fitted_values import meanings
from fea.measurement.posterior import Gaussian
from fea.measurement.unknowns import unknowns_of
from geometry.errors import InputError

DEMO = Path(__file__).parents[3] / "cases" / "garden_railway.toml"
WAY = "way near work: closure_um"
HALF = float(np.sqrt(0.5))


def calibrated(case: Case, **section: object) -> Case:
    calibration = type(case.calibration).model_validate(section)
    return case.model_copy(update={"calibration": calibration})


@pytest.fixture
def stiff_ground(coarse_case: Case) -> Case:
    """Ground and ways known together only, the ground twice as soft as expected."""
    softer = -float(np.log(2.0) / np.log(ground_spread(coarse_case)) * 1.6448536)
    rows = {GROUND: [softer, HALF], WAY: [0.3, HALF], TANGENTIAL: [1.0, 0.0]}
    return calibrated(coarse_case, spread=[0.1], constants=rows)


def test_sets_have_the_fitted_middle_spread_and_correlation(stiff_ground: Case) -> None:
    known = fitted(stiff_ground)
    even = (np.arange(SAMPLES) + 0.5) / SAMPLES
    ground, way = (ndtri(known.quantiles(name, even)) for name in (GROUND, WAY))
    # Along the direction (1, 1) / sqrt 2 a tenth is left, across it all of it.
    together, across = (ground + way) * HALF, (ground - way) * HALF
    # The random order of 256 even values leaves a correlation of 1/16.
    assert together.std() == pytest.approx(0.1, abs=0.02)
    assert across.std() == pytest.approx(1.0, rel=0.1)
    assert np.corrcoef(ground, way)[0, 1] < -0.9
    assert way.mean() == pytest.approx(0.3, abs=0.01)


def test_what_was_not_fitted_stays_as_it_was_drawn(stiff_ground: Case) -> None:
    even = (np.arange(SAMPLES) + 0.5) / SAMPLES
    assert fitted(stiff_ground).quantiles("base: friction", even) is even


def test_the_drawn_stack_has_the_fitted_constants(
    stiff_ground: Case, coarse_case: Case
) -> None:
    new, old = (plan_stack(case, QUICK_CHANGE) for case in (stiff_ground, coarse_case))
    for after, before in zip(new.joints, old.joints, strict=True):
        if isinstance(after.law, FootLaw) and isinstance(before.law, FootLaw):
            half = after.law.springs.first / before.law.springs.first
            assert half == pytest.approx(0.5, rel=1e-6)
        if after.name == "way near work" and isinstance(after.law, SurfaceLaw):
            low, high = after.law.surface.spread.closure_um
            softer = np.sqrt(low * high) * (high / low) ** (0.3 / (2.0 * 1.6448536))
            assert after.law.surface.closure_um == pytest.approx(softer, rel=1e-6)
        elif after.name == "base":
            assert after.law == before.law


def test_the_force_is_that_of_the_fitted_material(
    stiff_ground: Case, coarse_case: Case
) -> None:
    new, old = (force_at(case, 1.0) for case in (stiff_ground, coarse_case))
    assert new[2] / old[2] > 1.05
    assert new == pytest.approx(old * new[2] / old[2], rel=1e-9)


def test_bands_lie_about_the_calibrated_stack_and_are_narrower(
    coarse_case: Case, cache_folder: Path
) -> None:
    alone = calibrated(coarse_case, spread=[0.1], constants={GROUND: [-0.8, 1.0]})
    (before, _), (after, nominal) = (
        stiffness_of(case, cache_folder) for case in (coarse_case, alone)
    )
    assert after[0] < nominal < after[1]
    # The ground is what is known worst of all that gives.
    assert np.ptp(np.log(after)) < 0.7 * np.ptp(np.log(before))


def stiffness_of(case: Case, folder: Path) -> tuple[np.ndarray, float]:
    """Band of the stiffness along the cutting force, and the nominal one."""
    plan = plan_stack(case, QUICK_CHANGE)
    answer = answer_stack(case, plan, folder, fineness(case))
    draw, path = common_draw(case, [answer]), answer.path
    sampled = sample_bands(answer.stack, path, draw.constants(), draw.scatters[0], 1.0)
    force, moved = path.curve.force_n[-1], path.curve.deflection_um[-1]
    return sampled.bands.stiffness_n_per_um, float(force @ force / (moved @ force))


def test_a_calibrated_case_is_read_back(
    coarse_case: Case, cache_folder: Path, tmp_path: Path
) -> None:
    plan = plan_stack(coarse_case, QUICK_CHANGE)
    stack = build_planned(plan, *fineness(coarse_case), cache_folder)
    unknowns = unknowns_of([stack], [], ground_spread(coarse_case))
    direction = np.zeros((unknowns.count, 1))
    direction[unknowns.names.index(GROUND)] = 1.0
    shape = Gaussian(
        middle=-0.5 * direction[:, 0], directions=direction, spread=np.array([0.2])
    )
    text = calibrated_text(
        DEMO.read_text(encoding="utf-8"),
        coarse_case,
        shape,
        meanings(coarse_case, [plan], unknowns),
        0.031,
    )
    path = tmp_path / "calibrated.toml"
    path.write_text(text, encoding="utf-8")
    case = load_case(path)
    assert case.damping.ratio == pytest.approx(0.031)
    assert case.calibration.constants == {GROUND: (-0.5, 1.0)}
    assert case.calibration.spread == (0.2,)
    assert "times what was expected" in text


@pytest.mark.parametrize(
    ("section", "said"),
    [
        ('spread = ["a"]', "must be a number from 0 to 1"),
        ("spread = 0.1", "must be a list"),
        ("spread = [0.1]\nconstants = { a = [1.0] }", "must have 2 numbers"),
        ("constants = { a = 1.0 }", "must be a table of names"),
    ],
)
def test_a_section_that_was_edited_is_refused(
    section: str, said: str, tmp_path: Path
) -> None:
    path = tmp_path / "case.toml"
    text = DEMO.read_text(encoding="utf-8")
    path.write_text(f"{text}\n[calibration]\n{section}\n", encoding="utf-8")
    with pytest.raises(InputError, match=said):
        load_case(path)
