"""How much of the tip's motion the meshes leave out, part by part, and finer plans."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from fea.analysis.cutting_path import CutPath
from fea.analysis.result import PartError
from fea.analysis.work_shares import elastic_motion
from fea.core.contact_model import ContactModel
from fea.core.plan import StackPlan
from fea.core.stack import Stack
from geometry.mesh_size import FINEST_MM, refined_size
from geometry.units import UM_PER_MM

# What one step of refinement does to a part's unknowns and to its error: measured on
# the parts of the demo, 1.3 to 1.7 and 0.66 to 0.8.
UNKNOWNS_STEP = 1.6
ERROR_STEP = 0.72

# Reducing a part of this size takes 3 GB and one to three minutes (measured on a top
# slide of 140,000); a larger one is not begun.
MOST_UNKNOWNS = 150_000


# Share of the accuracy below which a part's error is left alone: the half-dozen parts
# of a stack could all be there and keep to it together.
WORTH = 0.05


def part_errors(
    plan: StackPlan, stack: Stack, model: ContactModel, path: CutPath
) -> tuple[PartError, ...]:
    """Return what the mesh of every part takes from the motion at the deepest cut.

    Notes
    -----
    To first order a change of one part's flexibility moves the tip along the force F by
    t' dA t / F, where t are the tractions that the cut puts on the part, and that is
    the energy that its mesh misses under them: twice the strain energy over the force.
    """
    motion = elastic_motion(stack, model, path.clamped, path.steps[-1].state)
    force, moved = path.curve.force_n[-1], path.curve.deflection_um[-1] / UM_PER_MM
    work = float(force @ moved)
    found = []
    for drawn, part in zip(plan.parts, stack.parts, strict=True):
        bent = motion[stack.slices[part.name]][: len(part.reduced.missed)]
        missed = float(bent @ part.reduced.missed @ bent)
        # A quadratic form, so less than nothing is round-off only.
        fraction = max(0.0, part.material.youngs_modulus_mpa * missed / work)
        found.append(
            PartError(
                name=part.name,
                unknowns=part.reduced.unknowns,
                refined=drawn.refined,
                fraction=fraction,
            )
        )
    return tuple(found)


def total_error(errors: Sequence[PartError]) -> float:
    """Fraction of the tip's motion that all meshes together leave out."""
    return sum(error.fraction for error in errors)


def finer_plan(
    plan: StackPlan, errors: Sequence[PartError], accuracy: float, size: float
) -> StackPlan | None:
    """Return a plan whose meshes are expected to keep to an accuracy.

    Step by step the part that is expected to contribute most is made finer.

    Parameters
    ----------
    plan : as it was meshed
    errors : of its parts
    accuracy : fraction of the tip's motion
    size : mesh size of the case [mm]

    Returns
    -------
    None if the accuracy is kept already or no part that matters may be made finer
    """
    now = {error.name: error for error in errors}
    while total_error(tuple(now.values())) > accuracy:
        able = [
            error
            for error in now.values()
            if error.fraction > WORTH * accuracy and _may_be_finer(error, size)
        ]
        if not able:
            break
        worst = max(able, key=lambda error: error.fraction)
        now[worst.name] = _finer(worst)
    finer = _with_steps(plan, {error.name: error.refined for error in now.values()})
    return None if finer == plan else finer


def as_fine_as(drawn: StackPlan, other: StackPlan) -> StackPlan:
    """Return another plan of a stack whose parts are refined as those of the drawn."""
    return _with_steps(other, {part.name: part.refined for part in drawn.parts})


def accuracy_warnings(
    name: str, errors: Sequence[PartError], accuracy: float | None, size: float
) -> Iterator[str]:
    """Say where refinement ended before the accuracy was reached."""
    total = total_error(errors)
    if accuracy is None or total <= accuracy:
        return
    worst = max(errors, key=lambda error: error.fraction)
    limit = (
        f"would be finer than {FINEST_MM:g} mm"
        if refined_size(size, worst.refined + 1) < FINEST_MM
        else f"would have more than {MOST_UNKNOWNS:,} unknowns"
    )
    yield (
        f"numerics.accuracy = {100.0 * accuracy:g} %: the meshes of the {name} stack "
        f"reach {100.0 * total:.3g} % of the tip's motion and no less, most of it in "
        f"the {worst.name}, whose next mesh {limit}; take the larger value, or a "
        "shape that is easier to mesh."
    )


def _with_steps(plan: StackPlan, steps: Mapping[str, int]) -> StackPlan:
    parts = tuple(replace(part, refined=steps[part.name]) for part in plan.parts)
    return replace(plan, parts=parts)


def _may_be_finer(error: PartError, size: float) -> bool:
    fits = UNKNOWNS_STEP * error.unknowns <= MOST_UNKNOWNS
    return fits and refined_size(size, error.refined + 1) >= FINEST_MM


def _finer(error: PartError) -> PartError:
    """Return what is expected of a part after one more step."""
    return replace(
        error,
        unknowns=round(UNKNOWNS_STEP * error.unknowns),
        refined=error.refined + 1,
        fraction=ERROR_STEP * error.fraction,
    )
