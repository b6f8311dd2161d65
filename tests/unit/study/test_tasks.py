"""The pieces of a study: what fails is a reason; what stops all is raised."""

from pathlib import Path

import pytest
from small_study import grid, small_study

from fea.analysis.build import QUICK_CHANGE, lean_fineness, plan_stack
from fea.study import tasks
from fea.study.journal import Outcome
from geometry.errors import MeshError, SetupError, StorageError, StoutpostError


def failing(error: StoutpostError) -> object:
    def raise_it(*_: object, **__: object) -> None:
        raise error

    return raise_it


def test_a_mesh_that_fails_is_the_reason_of_its_design_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = small_study(tmp_path, grid(["42 mm"], ["0 mm"])).case
    plan, fine = plan_stack(case, QUICK_CHANGE), lean_fineness(case)
    monkeypatch.setattr(tasks, "reduced_part", failing(MeshError("no mesh of holder")))
    reasons = [tasks.reduce_one(part, fine, tmp_path) for part in plan.parts]
    stack = tasks.solve_stack(case, plan, tmp_path, False, reasons)
    outcome = tasks.finish_design(case, [stack, stack])
    assert outcome == Outcome(row={}, reason="no mesh of holder")


@pytest.mark.parametrize("error", [SetupError("no library"), StorageError("full")])
def test_what_would_stop_every_design_is_raised(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: StoutpostError
) -> None:
    case = small_study(tmp_path, grid(["42 mm"], ["0 mm"])).case
    plan, fine = plan_stack(case, QUICK_CHANGE), lean_fineness(case)
    monkeypatch.setattr(tasks, "reduced_part", failing(error))
    monkeypatch.setattr(tasks, "figures_of", failing(error))
    with pytest.raises(type(error)):
        tasks.reduce_one(plan.parts[0], fine, tmp_path)
    with pytest.raises(type(error)):
        tasks.solve_stack(case, plan, tmp_path, False, [None])
