"""Both stacks of a case, built, clamped and taken through the case's cuts."""

from collections.abc import Iterable
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
from fea.analysis.workforce import OnStage, distinct_parts, reduce_ahead
from fea.case.schema import Case
from fea.core.contact_model import ContactModel, ContactState
from fea.core.contact_stack import contact_model
from fea.core.plan import PartPlan, StackPlan
from fea.core.stack import Stack

OWN_STAGES = 1  # beside one a part


@dataclass(frozen=True, slots=True, kw_only=True)
class StackAnswer:
    """A stack and its way through the cuts.

    Parameters
    ----------
    plan : as drawn
    stack : assembled from reduced parts
    model : its joints, which lift and slip
    path : the clamped state and that at every depth
    """

    plan: StackPlan
    stack: Stack
    model: ContactModel
    path: CutPath

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
    plans, fine = [plan_stack(case, name) for name in PLANS], fineness(case)
    reduce_ahead(_parts(plans), *fine, folder, workers, on_stage)
    on_stage("clamping and cutting")
    quick_change, four_way = (answer_stack(case, plan, folder, fine) for plan in plans)
    return quick_change, four_way


def answer_stage_count(case: Case) -> int:
    """How many stages `answer_stacks` will tell of."""
    parts = _parts([plan_stack(case, name) for name in PLANS])
    return len(distinct_parts(parts, *fineness(case))) + OWN_STAGES


def cut_path(case: Case, model: ContactModel) -> CutPath:
    """Clamp a stack and follow the case's cut through its depths."""
    return follow(
        model, lambda depth: force_at(case, depth), sizes_of(case), fed_of(case)
    )


def _parts(plans: Iterable[StackPlan]) -> list[PartPlan]:
    return [part for plan in plans for part in plan.parts]


def answer_stack(
    case: Case, plan: StackPlan, folder: Path, fine: Fineness
) -> StackAnswer:
    """Build one planned stack and take it through the case's cuts."""
    stack = build_planned(plan, *fine, folder)
    model = contact_model(stack)
    path = cut_path(case, model)
    return StackAnswer(plan=plan, stack=stack, model=model, path=path)
