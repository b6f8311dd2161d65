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
from fea.analysis.notes import notes, warnings
from fea.analysis.response import (
    motion_shares,
    part_fields,
    stiffness_along,
    tip_compliance,
)
from fea.analysis.result import Comparison, StackResult
from fea.analysis.workforce import OnStage, distinct_parts, reduce_ahead
from fea.case.schema import Case
from fea.core.factor import engine_name
from fea.core.plan import PartPlan
from fea.core.stack import Stack
from fea.core.threads import on_one_blas_thread
from fea.machining.deflection import DeflectionCurve, deflection_curve

UM_PER_MM = 1000.0
N_PER_MM_PER_N_PER_UM = 1000.0
FREQUENCIES = 8  # reported; the first six are held to the monolithic model by a test


@on_one_blas_thread
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
    compliance = tip_compliance(stack)
    return deflection_curve(
        lambda force: compliance @ force,
        lambda depth: force_at(case, depth),
        np.asarray(case.cut.depths),
    )


def _result(case: Case, name: str, stack: Stack) -> StackResult:
    compliance = tip_compliance(stack)
    curve = curve_of(case, stack)
    load = curve.force_n[int(np.argmax(curve.depth_mm))]
    frequencies, _ = stack.modes(FREQUENCIES)
    return StackResult(
        name=name,
        compliance_um_per_n=compliance * UM_PER_MM,
        stiffness_n_per_um=stiffness_along(compliance, load) / N_PER_MM_PER_N_PER_UM,
        curve=curve,
        shares=motion_shares(stack, load),
        frequencies_hz=frequencies,
        load_n=load,
        fields=part_fields(stack, load),
    )
