"""The pieces of a study that run in parallel: a part, a stack, a design.

A piece hands on the reason of an expected failure instead of raising it, so that one
design that cannot be computed stops no other. What would stop every design is raised.
"""

from pathlib import Path

from fea.analysis.build import Fineness, default_cache
from fea.case.schema import Case
from fea.core.cache import is_cached, reduced_part
from fea.core.plan import PartPlan, StackPlan
from fea.core.threads import on_one_blas_thread
from fea.study.figures import Figures, figures_of
from fea.study.journal import Outcome
from fea.study.measure import measure
from geometry.errors import SetupError, StorageError, StoutpostError

FOR_ALL = (SetupError, StorageError)


@on_one_blas_thread
def reduce_one(part: PartPlan, fine: Fineness, folder: Path | None) -> str | None:
    """Put a part into the cache; the reason if that cannot be done."""
    cache = folder or default_cache()
    try:
        if not is_cached(part, *fine, cache):
            reduced_part(part, *fine, cache)
    except FOR_ALL:
        raise
    except StoutpostError as error:
        return str(error)
    return None


def solve_stack(
    case: Case,
    plan: StackPlan,
    folder: Path | None,
    with_safety: bool,
    parts: list[str | None],
) -> Figures | str:
    """Take a stack through the cuts, once its parts are there."""
    failed = [reason for reason in parts if reason is not None]
    if failed:
        return failed[0]
    try:
        cache = folder or default_cache()
        return figures_of(case, plan, cache, with_safety=with_safety)
    except FOR_ALL:
        raise
    except StoutpostError as error:
        return f"{plan.name}: {error}"


def finish_design(case: Case, stacks: list[Figures | str]) -> Outcome:
    """Put both stacks of a design into one row."""
    failed = [each for each in stacks if isinstance(each, str)]
    if failed:
        return Outcome(row={}, reason=failed[0])
    new, old = (each for each in stacks if isinstance(each, Figures))
    return Outcome(row=measure(case, new, old), reason=None)
