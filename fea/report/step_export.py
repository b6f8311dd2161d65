"""STEP files of a case's parts and of its stacks, put together."""

from collections.abc import Callable, Sequence
from pathlib import Path

from fea.core.plan import PartPlan, StackPlan
from fea.report.staging import staged
from geometry.pad import Vector
from geometry.step_file import PlacedShape, write_step

ENDING = ".step"
NOWHERE: Vector = (0.0, 0.0, 0.0)


def step_names(plans: Sequence[StackPlan]) -> dict[str, PartPlan | StackPlan]:
    """Return what each file holds: the stacks, then every part of theirs once."""
    parts = {part.name: part for plan in plans for part in plan.parts}
    held: dict[str, PartPlan | StackPlan] = {plan.name: plan for plan in plans}
    return {_file_name(name): thing for name, thing in (held | parts).items()}


def export_steps(
    plans: Sequence[StackPlan], folder: Path, on_stage: Callable[[str], None]
) -> list[Path]:
    """Write one file a stack and one a part into a folder, or none of them.

    A stack stands in the machine's frame, origin at the tool's tip; a part in its own.

    Parameters
    ----------
    plans : of the stacks
    folder : made if it does not exist; other files in it are left alone
    on_stage : hears the name of each file

    Returns
    -------
    the files
    """
    names = step_names(plans)
    with staged(folder) as place:
        for name, thing in names.items():
            on_stage(name)
            write_step(place / name, thing.name, _placed(thing))
    return [folder / name for name in names]


def _placed(thing: PartPlan | StackPlan) -> list[PlacedShape]:
    if isinstance(thing, PartPlan):
        return [PlacedShape(name=thing.name, shape=thing.shape, origin=NOWHERE)]
    return [
        PlacedShape(name=part.name, shape=part.shape, origin=part.origin)
        for part in thing.parts
    ]


def _file_name(name: str) -> str:
    return name.replace(" ", "_").replace("-", "_") + ENDING
