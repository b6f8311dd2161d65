"""The tasks of a study: parts and stacks that several designs share are computed once.

That holds even where they are wanted at the same time: each is one task of the
scheduler, and the designs that need it wait for the same one.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fea.analysis.build import lean_fineness, plan_stack
from fea.analysis.stack_names import FOUR_WAY, QUICK_CHANGE
from fea.case.schema import Case
from fea.core.cache import part_key
from fea.core.plan import StackPlan
from fea.study.crew import Crew
from fea.study.designs import Design
from fea.study.figures import figures_key
from fea.study.journal import Outcome
from fea.study.tasks import finish_design, reduce_one, solve_stack

if TYPE_CHECKING:
    from distributed import Future


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """Tasks by what they compute.

    Parameters
    ----------
    crew : who computes
    cache : folder of reduced parts; None for the user's, where the work is done
    with_safety : whether stresses are wanted
    """

    crew: Crew
    cache: Path | None
    with_safety: bool
    _known: "dict[str, Future]" = field(default_factory=dict)

    def outcomes(
        self, designs: Iterable[tuple[Design, Case]]
    ) -> Iterator[tuple[Design, Outcome | None]]:
        """Give each design as it is finished; None where its process died.

        Raises
        ------
        StorageError, SetupError
            Whatever the designs, nothing can be computed.
        """
        from distributed import KilledWorker, as_completed

        waiting = {self._design(case): design for design, case in designs}
        for future in as_completed(list(waiting)):
            try:
                yield waiting[future], future.result()
            except KilledWorker:
                yield waiting[future], None

    def _design(self, case: Case) -> "Future":
        plans = [plan_stack(case, name) for name in (QUICK_CHANGE, FOUR_WAY)]
        stacks = [self._stack(case, plan) for plan in plans]
        return self.crew.client.submit(finish_design, case, stacks, pure=False)

    def _stack(self, case: Case, plan: StackPlan) -> "Future":
        with_safety = self.with_safety and plan.name == QUICK_CHANGE
        key = figures_key(case, plan, with_safety=with_safety)
        fine = lean_fineness(case)
        parts = [
            self._task(part_key(part, *fine), reduce_one, part, fine, self.cache)
            for part in plan.parts
        ]
        return self._task(key, solve_stack, case, plan, self.cache, with_safety, parts)

    def _task(self, key: str, work: Callable[..., Any], *given: Any) -> "Future":
        if key not in self._known:
            self._known[key] = self.crew.client.submit(work, *given, pure=False)
        return self._known[key]
