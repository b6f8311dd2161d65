"""What a study computes of a stack is what the report says of it."""

from pathlib import Path

import numpy as np
import pytest

from fea.analysis.build import (
    QUICK_CHANGE,
    fineness,
    lean_fineness,
    plan_stack,
)
from fea.analysis.regeneration import least_limit, regeneration, working_depth
from fea.analysis.stack_answer import answer_stack
from fea.analysis.stack_modes import joint_tangents, working_modes
from fea.case.schema import Case
from fea.case.work_holding import work_bar, work_holding
from fea.core.modal_model import joined
from fea.core.reduction import ReducedPart
from fea.core.stack import factored, natural_modes
from fea.machining.work_bar import work_model
from fea.study import figures
from fea.study.figures import Figures, figures_key, figures_of


@pytest.fixture(scope="module")
def lean(coarse_case: Case, cache_folder: Path) -> Figures:
    plan = plan_stack(coarse_case, QUICK_CHANGE)
    return figures_of(coarse_case, plan, cache_folder, with_safety=False)


def test_leaner_parts_give_the_reports_numbers(
    coarse_case: Case, cache_folder: Path, lean: Figures
) -> None:
    plan = plan_stack(coarse_case, QUICK_CHANGE)
    full = answer_stack(coarse_case, plan, cache_folder, fineness(coarse_case))
    curve = full.path.curve
    # Both hold every traction that acts: round-off, times the joints' iteration (1e-8).
    assert lean.deflection_um == pytest.approx(curve.deflection_um, rel=1e-6)
    assert lean.force_n == pytest.approx(curve.force_n, rel=1e-6)
    state = full.path.steps[-1].state
    tangent = full.stack.stiffness_with(joint_tangents(full.stack, full.model, state))
    frequency, _ = natural_modes(factored(tangent), full.stack.mass, 1)
    # What natural shapes of the parts add to the lowest modes, far below their own.
    assert lean.frequency_hz == pytest.approx(frequency, rel=1e-6)
    ring = working_modes(
        full.stack, full.model, full.state_at(working_depth(coarse_case)), None
    )
    work = work_model(work_bar(coarse_case), work_holding(coarse_case))
    limit = least_limit(joined(ring.tip, work), regeneration(coarse_case)).depth_mm
    assert np.isfinite(limit).all()
    assert lean.limit_mm == pytest.approx(limit, rel=1e-4)


def test_leaner_parts_are_small(coarse_case: Case, cache_folder: Path) -> None:
    from fea.core.cache import reduced_part

    part = plan_stack(coarse_case, QUICK_CHANGE).parts[0]

    def made(fine: object) -> ReducedPart:
        return reduced_part(part, *fine, cache_folder)  # type: ignore[misc]

    full, small = made(fineness(coarse_case)), made(lean_fineness(coarse_case))
    assert small.size < 0.5 * full.size
    assert small.shapes.size == 0 < full.shapes.size
    assert small.missed.size == 0 < full.missed.size


def test_what_is_not_estimated_is_not_called_an_error_of_nothing(
    coarse_case: Case, cache_folder: Path
) -> None:
    plan = plan_stack(coarse_case, QUICK_CHANGE)
    answer = answer_stack(coarse_case, plan, cache_folder, lean_fineness(coarse_case))
    assert answer.errors == ()


def test_a_second_look_reads_the_cache(
    coarse_case: Case,
    cache_folder: Path,
    lean: Figures,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(figures, "answer_stack", None)
    plan = plan_stack(coarse_case, QUICK_CHANGE)
    again = figures_of(coarse_case, plan, cache_folder, with_safety=False)
    assert np.array_equal(again.deflection_um, lean.deflection_um)


@pytest.mark.parametrize(
    ("section", "key", "value"),
    [
        ("cut", "feed", 0.2),
        ("work", "stick_out", 90.0),
        ("damping", "ratio", 0.03),
        ("machine", "centre_height", 151.0),
    ],
)
def test_whatever_decides_a_figure_is_in_its_key(
    coarse_case: Case, section: str, key: str, value: float
) -> None:
    inner = getattr(coarse_case, section).model_copy(update={key: value})
    other = coarse_case.model_copy(update={section: inner})
    assert key_of(other) != key_of(coarse_case)


def test_a_changed_table_gives_other_keys_and_another_title_does_not(
    coarse_case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    renamed = coarse_case.model_copy(update={"title": "another"})
    before = key_of(coarse_case)
    assert key_of(renamed) == before
    monkeypatch.setattr(figures, "tables_digest", lambda: "changed")
    assert key_of(coarse_case) != before


def key_of(case: Case) -> str:
    return figures_key(case, plan_stack(case, QUICK_CHANGE), with_safety=False)
