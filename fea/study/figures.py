"""What a study keeps of one stack: its way through the cuts, on disk once computed."""

from dataclasses import dataclass, fields
from pathlib import Path

import numpy as np

from fea.analysis.build import fineness
from fea.analysis.plan_content import plan_content
from fea.analysis.stack_answer import StackAnswer, answer_stack
from fea.analysis.stack_modes import joint_tangents
from fea.analysis.stress_result import stress_peaks
from fea.case.schema import Case
from fea.core.archive import Arrays, key_of, load_arrays, store_arrays
from fea.core.material import load_materials
from fea.core.plan import StackPlan
from fea.core.stack import natural_modes
from fea.core.threads import on_one_blas_thread
from geometry.pad import FloatArray

# Raised whenever the same stack and cut would give other figures.
FORMAT = 1


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
    safety : (1,) least yield strength over stress; not a number if not asked for
    """

    depth_mm: FloatArray
    force_n: FloatArray
    deflection_um: FloatArray
    diameter_error_um: FloatArray
    frequency_hz: FloatArray
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
        answer = answer_stack(case, plan, folder)
        arrays = _figures(case, answer, folder, with_safety=with_safety)
        store_arrays(folder, key, arrays)
    return Figures(**{each.name: arrays[each.name] for each in fields(Figures)})


def figures_key(case: Case, plan: StackPlan, *, with_safety: bool) -> str:
    """Hash of all that a stack's way through the cuts depends on."""
    content = {
        "figures_format": FORMAT,
        "cut": case.cut.model_dump(),
        "work": case.work.material,
        "stud": case.machine.stud.model_dump(),
        "with_safety": with_safety,
        **plan_content(plan, fineness(case)),
    }
    return key_of(content)


def _figures(
    case: Case, answer: StackAnswer, folder: Path, *, with_safety: bool
) -> Arrays:
    curve, deepest = answer.path.curve, answer.path.steps[-1].state
    stack, model = answer.stack, answer.model
    tangent = stack.stiffness_with(joint_tangents(stack, model, deepest))
    frequencies, _ = natural_modes(tangent, stack.mass, 1)
    return {
        "depth_mm": curve.depth_mm,
        "force_n": curve.force_n,
        "deflection_um": curve.deflection_um,
        "diameter_error_um": curve.diameter_error_um,
        "frequency_hz": frequencies[:1],
        "safety": np.array([_safety(case, answer, folder) if with_safety else np.nan]),
    }


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
