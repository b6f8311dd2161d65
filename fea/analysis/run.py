"""The whole analysis of a case: both stacks, built, loaded and compared."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from fea.analysis.band_cache import kept_bands
from fea.analysis.bands import ratio_band
from fea.analysis.build import default_cache
from fea.analysis.chatter import STAGES as CHATTER_STAGES
from fea.analysis.chatter import chatter
from fea.analysis.chatter_result import Chatter
from fea.analysis.joint_result import joint_results, load_cycle
from fea.analysis.mesh_error import accuracy_warnings
from fea.analysis.notes import notes, result_warnings, warnings
from fea.analysis.response import part_fields
from fea.analysis.result import Bands, Comparison, StackResult, StressPeak
from fea.analysis.simulation import STAGES as SIMULATION_STAGES
from fea.analysis.simulation import simulated
from fea.analysis.stack_answer import (
    StackAnswer,
    answer_stacks,
    answer_stage_count,
    cut_path,
)
from fea.analysis.stack_modes import joint_tangents
from fea.analysis.stress_result import stress_peaks
from fea.analysis.work_shares import elastic_motion, work_shares
from fea.analysis.workforce import OnStage
from fea.case.schema import Case
from fea.core.contact_stack import contact_model
from fea.core.equilibrium import tangent_compliance
from fea.core.material import load_materials
from fea.core.solver import solver_name
from fea.core.stack import Stack, factored, natural_modes
from fea.core.threads import on_one_blas_thread
from fea.machining.deflection import DeflectionCurve
from geometry.units import UM_PER_MM

OWN_STAGES = 2
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
    answers = answer_stacks(case, folder, workers, on_stage)
    return compared(case, answers, folder, on_stage)


@on_one_blas_thread
def analyse(
    case: Case,
    cache: Path | None = None,
    workers: int = 1,
    on_stage: OnStage = lambda _: None,
    simulate: bool = False,
) -> tuple[Comparison, Chatter]:
    """Compare both stacks and find where they chatter; see `compare_stacks`.

    Parameters
    ----------
    simulate : whether some cuts are followed through time, too
    """
    folder = cache or default_cache()
    answers = answer_stacks(case, folder, workers, on_stage)
    comparison = compared(case, answers, folder, on_stage)
    found = chatter(case, answers, folder, on_stage)
    if simulate:
        found = simulated(case, answers, found, workers, on_stage)
    return comparison, found


def compared(
    case: Case,
    answers: tuple[StackAnswer, StackAnswer],
    folder: Path,
    on_stage: OnStage = lambda _: None,
) -> Comparison:
    """Compare stacks that are taken through their cuts; see `compare_stacks`."""
    on_stage("trying other joint constants and clamping forces")
    sampled = kept_bands(case, answers, folder)
    on_stage("recovering stresses")
    quick_change, four_way = (
        _result(answer, each.bands, _stresses(case, answer, folder))
        for answer, each in zip(answers, sampled, strict=True)
    )
    return Comparison(
        quick_change=quick_change,
        four_way=four_way,
        notes=notes(case),
        warnings=(
            *result_warnings(quick_change),
            *result_warnings(four_way),
            *_accuracy_warnings(case, answers),
            *warnings(case),
        ),
        ratio_band=ratio_band(*sampled),
        solver=solver_name(),
    )


def stage_count(case: Case, simulate: bool = False) -> int:
    """How many stages `analyse` will tell of."""
    own = OWN_STAGES + CHATTER_STAGES + simulate * SIMULATION_STAGES
    return answer_stage_count(case) + own


def curve_of(case: Case, stack: Stack) -> DeflectionCurve:
    """Deflection of a stack's tip against the case's depths of cut."""
    return cut_path(case, contact_model(stack)).curve


def _accuracy_warnings(case: Case, answers: Iterable[StackAnswer]) -> Iterator[str]:
    numerics = case.numerics
    for answer in answers:
        yield from accuracy_warnings(
            answer.plan.name, answer.errors, numerics.accuracy, numerics.mesh_size
        )


def _stresses(case: Case, answer: StackAnswer, folder: Path) -> tuple[StressPeak, ...]:
    stud = case.machine.stud
    return stress_peaks(
        answer.plan,
        answer.model,
        answer.path.steps[-1].state,
        case.numerics.mesh_size,
        folder,
        (stud.diameter, load_materials()[stud.material]),
    )


def _result(
    answer: StackAnswer, bands: Bands, stresses: tuple[StressPeak, ...]
) -> StackResult:
    stack, model, path = answer.stack, answer.model, answer.path
    curve, deepest = path.curve, path.steps[-1].state
    motion = elastic_motion(stack, model, path.clamped, deepest)
    force, moved = curve.force_n[-1], curve.deflection_um[-1]
    tangent = stack.stiffness_with(joint_tangents(stack, model, deepest))
    frequencies, _ = natural_modes(factored(tangent), stack.mass, FREQUENCIES)
    return StackResult(
        name=answer.plan.name,
        compliance_um_per_n=tangent_compliance(model, path.clamped) * UM_PER_MM,
        working_compliance_um_per_n=tangent_compliance(model, deepest) * UM_PER_MM,
        stiffness_n_per_um=float(force @ force / (moved @ force)),
        curve=curve,
        shares=work_shares(stack, model, path, motion),
        joints=joint_results(stack, model, path),
        cycle=load_cycle(model, path),
        stresses=stresses,
        bands=bands,
        mesh_errors=answer.errors,
        lost=path.lost,
        lost_depth_mm=path.lost_depth_mm,
        frequencies_hz=frequencies,
        load_n=force,
        fields=part_fields(stack, motion),
    )
