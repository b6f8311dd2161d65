"""Both stacks of a case, built, clamped and taken through the case's cuts."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from fea.analysis.build import (
    PLANS,
    Fineness,
    build_planned,
    fineness,
    plan_stack,
)
from fea.analysis.cut import fed_of, force_at, sizes_of
from fea.analysis.cutting_path import CutPath, follow
from fea.analysis.mesh_error import finer_plan, part_errors
from fea.analysis.result import PartError
from fea.analysis.workforce import OnStage, distinct_parts, reduce_ahead
from fea.case.schema import Case
from fea.core.contact_model import ContactModel, ContactState
from fea.core.contact_stack import contact_model
from fea.core.plan import PartPlan, StackPlan
from fea.core.stack import Stack

OWN_STAGES = 1  # beside one a part, and one more where an accuracy is asked for
ANSWERING = "clamping and cutting"
REFINING = "refining meshes until they keep to the accuracy"


@dataclass(frozen=True, slots=True, kw_only=True)
class StackAnswer:
    """A stack and its way through the cuts.

    Parameters
    ----------
    plan : as drawn
    stack : assembled from reduced parts
    model : its joints, which lift and slip
    path : the clamped state and that at every depth
    errors : what the mesh of every part takes from the motion at the deepest cut; none
        where the parts were reduced without an estimate
    """

    plan: StackPlan
    stack: Stack
    model: ContactModel
    path: CutPath
    errors: tuple[PartError, ...]

    def state_at(self, depth_mm: float) -> ContactState:
        """State of the joints at the nearest of the depths that it went through."""
        at = int(np.abs(self.path.curve.depth_mm - depth_mm).argmin())
        return self.path.steps[at].state


def answer_stacks(
    case: Case, folder: Path, workers: int, on_stage: OnStage
) -> tuple[StackAnswer, StackAnswer]:
    """Quick-change post first, then four-way block; arguments as `compare_stacks`.

    Raises
    ------
    InputError, MeshError, SolveError
    """
    prepare_answers(case, folder, workers, on_stage)
    answers = [_first(case, name, folder) for name in PLANS]
    if case.numerics.accuracy is not None:
        on_stage(REFINING)
        answers = _refined(case, answers, case.numerics.accuracy, folder, workers)
    quick_change, four_way = answers
    return quick_change, four_way


def prepare_answers(case: Case, folder: Path, workers: int, on_stage: OnStage) -> None:
    """Fill the cache with what both answers need; the last stage told is theirs."""
    plans = [plan_stack(case, name) for name in PLANS]
    reduce_ahead(_parts(plans), *fineness(case), folder, workers, on_stage)
    on_stage(ANSWERING)


def answered(case: Case, name: str, folder: Path) -> StackAnswer:
    """One of the two stacks, as `answer_stacks` has it."""
    found = _first(case, name, folder)
    if case.numerics.accuracy is None:
        return found
    return _refined(case, [found], case.numerics.accuracy, folder, 1)[0]


def _first(case: Case, name: str, folder: Path) -> StackAnswer:
    """Answer with the meshes that the case asks for."""
    return answer_stack(case, plan_stack(case, name), folder, fineness(case))


def answer_stage_count(case: Case) -> int:
    """How many stages `answer_stacks` will tell of."""
    parts = _parts([plan_stack(case, name) for name in PLANS])
    own = OWN_STAGES if case.numerics.accuracy is None else OWN_STAGES + 1
    return len(distinct_parts(parts, *fineness(case))) + own


def cut_path(case: Case, model: ContactModel) -> CutPath:
    """Clamp a stack and follow the case's cut through its depths."""
    return follow(
        model, lambda depth: force_at(case, depth), sizes_of(case), fed_of(case)
    )


def _refined(
    case: Case,
    answers: Sequence[StackAnswer],
    accuracy: float,
    folder: Path,
    workers: int,
) -> list[StackAnswer]:
    """Return answers of meshes made finer until each keeps to the accuracy, or may not.

    Every round makes at least one mesh finer, and meshes have a largest size.
    """
    found = list(answers)
    while True:
        plans = [
            finer_plan(one.plan, one.errors, accuracy, case.numerics.mesh_size)
            for one in found
        ]
        ahead = [plan for plan in plans if plan is not None]
        if not ahead:
            return found
        reduce_ahead(_parts(ahead), *fineness(case), folder, workers, _quietly)
        found = [
            one if plan is None else answer_stack(case, plan, folder, fineness(case))
            for one, plan in zip(found, plans, strict=True)
        ]


def _quietly(_: str) -> None:
    """Tell nobody: how many rounds there will be is not known beforehand."""


def _parts(plans: Iterable[StackPlan]) -> list[PartPlan]:
    return [part for plan in plans for part in plan.parts]


def answer_stack(
    case: Case, plan: StackPlan, folder: Path, fine: Fineness
) -> StackAnswer:
    """Build one planned stack and take it through the case's cuts."""
    stack = build_planned(plan, *fine, folder)
    model = contact_model(stack)
    path = cut_path(case, model)
    _, settings = fine
    errors = part_errors(plan, stack, model, path) if settings.estimated else ()
    return StackAnswer(plan=plan, stack=stack, model=model, path=path, errors=errors)
