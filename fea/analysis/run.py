"""The whole analysis of a case: both stacks, built, loaded and compared."""

from pathlib import Path

import numpy as np

from fea.analysis.build import (
    FOUR_WAY,
    PLANS,
    QUICK_CHANGE,
    build_stack,
    default_cache,
    fineness,
    plan_stack,
)
from fea.analysis.cut import force_at
from fea.analysis.cutting_path import CutPath, follow
from fea.analysis.joint_result import joint_results, load_cycle
from fea.analysis.notes import notes, warnings
from fea.analysis.response import part_fields
from fea.analysis.result import Comparison, StackResult
from fea.analysis.work_shares import (
    elastic_motion,
    tangent_stiffness,
    work_shares,
)
from fea.analysis.workforce import OnStage, distinct_parts, reduce_ahead
from fea.case.schema import Case
from fea.core.contact_model import ContactModel
from fea.core.contact_stack import contact_model
from fea.core.equilibrium import tangent_compliance
from fea.core.factor import engine_name
from fea.core.plan import PartPlan
from fea.core.stack import Stack, natural_modes
from fea.machining.deflection import DeflectionCurve

UM_PER_MM = 1000.0
FREQUENCIES = 8  # reported; the first six are held to the monolithic model by a test


def compare_stacks(
    case: Case,
    cache: Path | None = None,
    workers: int = 1,
    on_stage: OnStage = lambda _: None,
) -> Comparison:
    """Build and load both stacks of a case.

    Parameters
    ----------
    case : as `load_case` gives it
    cache : folder of reduced parts; by default the user's cache
    workers : processes that reduce parts; a script that uses more than one must guard
        its main module, as Python's multiprocessing asks
    on_stage : is told what is being worked on, `stage_count` times

    Raises
    ------
    InputError, MeshError, SolveError
    """
    folder = cache or default_cache()
    reduce_ahead(_parts(case), *fineness(case), folder, workers, on_stage)
    results = []
    for name in (QUICK_CHANGE, FOUR_WAY):
        on_stage(f"solving the {name} stack")
        results.append(_result(case, name, build_stack(case, name, folder)))
    quick_change, four_way = results
    return Comparison(
        quick_change=quick_change,
        four_way=four_way,
        notes=notes(case),
        warnings=warnings(case),
        solver=engine_name(),
    )


def stage_count(case: Case) -> int:
    """How many stages `compare_stacks` will tell of."""
    return len(distinct_parts(_parts(case), *fineness(case))) + len(PLANS)


def _parts(case: Case) -> list[PartPlan]:
    return [part for name in PLANS for part in plan_stack(case, name).parts]


def curve_of(case: Case, stack: Stack) -> DeflectionCurve:
    """Deflection of a stack's tip against the case's depths of cut."""
    return cut_path(case, contact_model(stack)).curve


def cut_path(case: Case, model: ContactModel) -> CutPath:
    """Clamp a stack and follow the case's cut through its depths."""
    depths = np.asarray(case.cut.depths)
    return follow(model, lambda depth: force_at(case, depth), depths)


def _result(case: Case, name: str, stack: Stack) -> StackResult:
    model = contact_model(stack)
    path = cut_path(case, model)
    curve, deepest = path.curve, path.steps[-1].state
    motion = elastic_motion(stack, model, path.clamped, deepest)
    along = curve.force_n[-1] / np.linalg.norm(curve.force_n[-1])
    frequencies, _ = natural_modes(
        tangent_stiffness(stack, model, deepest), stack.mass, FREQUENCIES
    )
    return StackResult(
        name=name,
        compliance_um_per_n=tangent_compliance(model, path.clamped) * UM_PER_MM,
        working_compliance_um_per_n=tangent_compliance(model, deepest) * UM_PER_MM,
        stiffness_n_per_um=float(
            np.linalg.norm(curve.force_n[-1]) / (curve.deflection_um[-1] @ along)
        ),
        curve=curve,
        shares=work_shares(stack, model, path),
        joints=joint_results(stack, model, path),
        cycle=load_cycle(model, path),
        lost=path.lost,
        lost_depth_mm=path.lost_depth_mm,
        frequencies_hz=frequencies,
        load_n=curve.force_n[-1],
        fields=part_fields(stack, motion),
    )
