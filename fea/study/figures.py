"""What a study keeps of one stack: its way through the cuts, on disk once computed."""

from dataclasses import asdict, dataclass, fields
from pathlib import Path

import numpy as np

from fea.analysis.build import lean_fineness
from fea.analysis.plan_content import plan_content
from fea.analysis.regeneration import least_limit, regeneration, working_depth
from fea.analysis.stack_answer import StackAnswer, answer_stack
from fea.analysis.stack_modes import joint_tangents, working_modes
from fea.analysis.stress_result import stress_peaks
from fea.case.schema import Case
from fea.case.work_holding import work_bar, work_holding
from fea.core.archive import Arrays, key_of, load_arrays, store_arrays
from fea.core.factor import engine_name
from fea.core.material import load_materials
from fea.core.modal_model import joined
from fea.core.plan import StackPlan
from fea.core.stack import factored, natural_modes
from fea.core.stress_cache import FORMAT as STRESS_FORMAT
from fea.core.threads import on_one_blas_thread
from fea.machining.work_bar import work_model
from fea.study.tables import tables_digest
from geometry.pad import FloatArray

# Raised whenever the same stack and cut would give other figures.
FORMAT = 2
# Of a case: what changes no figure, and what enters by parts and joints alone.
WORDS = {"title", "about", "study", "numerics"}
DRAWN = {"post", "holder", "block"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """A stack's way through the cuts in numbers.

    Parameters
    ----------
    depth_mm : (n,) nominal depths that it holds
    force_n : (n, 3) on the tool
    deflection_um : (n, 3) of the tip
    diameter_error_um : (n,)
    frequency_hz : (1,) lowest one, small motions about the deepest cut
    limit_mm : (1,) smallest depth that chatters at any speed, with the expected
        constants and without process damping; the deepest one tried if none does
    safety : (1,) least yield strength over stress; not a number if not asked for
    """

    depth_mm: FloatArray
    force_n: FloatArray
    deflection_um: FloatArray
    diameter_error_um: FloatArray
    frequency_hz: FloatArray
    limit_mm: FloatArray
    safety: FloatArray

    def stiffness(self, at: int) -> float:
        """Force over motion along the force, at one of the depths. [N/um]."""
        force, moved = self.force_n[at], self.deflection_um[at]
        return float(force @ force / (moved @ force))


@on_one_blas_thread
def figures_of(
    case: Case, plan: StackPlan, folder: Path, *, with_safety: bool
) -> Figures:
    """Return a stack's figures, from the cache if they are there and sound.

    Raises
    ------
    InputError, MeshError, SolveError
    """
    key = figures_key(case, plan, with_safety=with_safety)
    arrays: Arrays | None = load_arrays(folder, key)
    if arrays is None:
        answer = answer_stack(case, plan, folder, lean_fineness(case))
        arrays = _figures(case, answer, folder, with_safety=with_safety)
        store_arrays(folder, key, arrays)
    return Figures(**{each.name: arrays[each.name] for each in fields(Figures)})


def figures_key(case: Case, plan: StackPlan, *, with_safety: bool) -> str:
    """Hash of all that a stack's way through the cuts depends on."""
    content = {
        "formats": [FORMAT, STRESS_FORMAT],
        "solver": engine_name(),
        "tables": tables_digest(),
        "case": case.model_dump(mode="json", exclude=WORDS | DRAWN),
        "tip": asdict(plan.tip),
        "with_safety": with_safety,
        **plan_content(plan, lean_fineness(case)),
    }
    return key_of(content)


def _figures(
    case: Case, answer: StackAnswer, folder: Path, *, with_safety: bool
) -> Arrays:
    stack, model = answer.stack, answer.model
    curve, deepest = answer.path.curve, answer.path.steps[-1].state
    tangent = stack.stiffness_with(joint_tangents(stack, model, deepest))
    frequencies, _ = natural_modes(factored(tangent), stack.mass, 1)
    return {
        "depth_mm": curve.depth_mm,
        "force_n": curve.force_n,
        "deflection_um": curve.deflection_um,
        "diameter_error_um": curve.diameter_error_um,
        "frequency_hz": frequencies[:1],
        "limit_mm": np.array([_limit(case, answer)]),
        "safety": np.array([_safety(case, answer, folder) if with_safety else np.nan]),
    }


def _limit(case: Case, answer: StackAnswer) -> float:
    """Depth below which no speed chatters, the work's own give in it. [mm]."""
    state = answer.state_at(working_depth(case))
    ring = working_modes(answer.stack, answer.model, state, case.damping.ratio)
    both = joined(ring.tip, work_model(work_bar(case), work_holding(case)))
    cut = regeneration(case)
    # Designs beyond all depths tried are equal, and a number can still be drawn.
    found = float(least_limit(both, cut).depth_mm[0])
    return min(found, float(cut.edge.depth_mm[-1]))


def _safety(case: Case, answer: StackAnswer, folder: Path) -> float:
    stud = case.machine.stud
    peaks = stress_peaks(
        answer.plan,
        answer.model,
        answer.path.steps[-1].state,
        case.numerics.mesh_size,
        folder,
        (stud.diameter, load_materials()[stud.material]),
    )
    return peaks[0].safety
