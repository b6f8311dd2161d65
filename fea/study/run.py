"""The whole study: designs that are not finished yet, computed in parallel.

Parts and stacks that several designs share are computed once, even where they are
wanted at the same time: each is one task of the scheduler.
"""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fea.analysis.build import FOUR_WAY, QUICK_CHANGE, fineness, plan_stack
from fea.case.case_file import CaseReading, with_values
from fea.case.schema import Case
from fea.case.study_measure import SAFETY
from fea.case.study_problem import OWN
from fea.case.study_section import Study
from fea.core.archive import key_of
from fea.core.cache import FORMAT as PARTS_FORMAT
from fea.core.cache import part_key
from fea.core.plan import StackPlan
from fea.study.designs import Design, designs_of
from fea.study.figures import FORMAT as FIGURES_FORMAT
from fea.study.figures import figures_key
from fea.study.journal import Journal, Outcome
from fea.study.tasks import finish_design, reduce_one, solve_stack
from geometry.errors import InputError, SetupError

if TYPE_CHECKING:
    from distributed import Client, Future

# Libraries with threads of their own keep to one, since every core has its process.
ONE_THREAD = dict.fromkeys(
    ("RAYON_NUM_THREADS", "OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"), "1"
)
# What changes no number of a design.
WORDS = {"title", "about"}
CONNECT_SECONDS = 10

OnDone = Callable[[], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """A design and what became of it."""

    design: Design
    outcome: Outcome


def run_study(
    reading: CaseReading,
    journal_folder: Path,
    *,
    cache: Path | None = None,
    workers: int | None = None,
    address: str | None = None,
    on_done: OnDone = lambda: None,
) -> tuple[Finished, ...]:
    """Compute every design that the journal does not hold; return all, in order.

    Parameters
    ----------
    journal_folder : where finished designs are kept
    cache : folder of reduced parts; by default the user's cache where the work is done
    workers : processes of this computer; by default one a core
    address : of a scheduler that runs already, instead of this computer's cores
    on_done : is called once for every design

    Raises
    ------
    InputError, SetupError
    """
    study = reading.case.study
    designs = designs_of(study)
    journal = journal_of(reading, journal_folder)
    done = journal.read()
    missing = []
    for design in designs:
        if _key(design) in done:
            on_done()
        else:
            missing.append(design)
    if missing:
        with _client(address, workers or os.cpu_count() or 1) as client:
            tasks = _Tasks(client=client, cache=cache, with_safety=asks_safety(study))
            for design, outcome in _outcomes(reading, missing, tasks):
                journal.add(_key(design), outcome)
                done[_key(design)] = outcome
                on_done()
    return tuple(Finished(design=each, outcome=done[_key(each)]) for each in designs)


def journal_of(reading: CaseReading, folder: Path) -> Journal:
    """Return the journal of a case: other limits, aims or words share it."""
    made_by = {
        "case": {
            key: value
            for key, value in sorted(reading.said.items())
            if key not in WORDS and not key.startswith(OWN)
        },
        "formats": [PARTS_FORMAT, FIGURES_FORMAT],
        "with_safety": asks_safety(reading.case.study),
    }
    return Journal(path=folder / f"study-{key_of(made_by)}.jsonl")


def asks_safety(study: Study) -> bool:
    """Whether stresses are wanted, which take as long as all the rest."""
    limited = {each.measure for each in study.limits}
    return SAFETY in limited | {each.measure for each in study.aims}


def _key(design: Design) -> str:
    return key_of(design.values)


@contextmanager
def _client(address: str | None, workers: int) -> "Iterator[Client]":
    from distributed import Client, LocalCluster

    if address is not None:
        try:
            client = Client(address, timeout=CONNECT_SECONDS)
        except (OSError, ValueError) as error:
            message = (
                f"--cluster {address}: no scheduler answers there; start one, or leave "
                "the option out to use this computer"
            )
            raise SetupError(message) from error
        with client:
            yield client
        return
    with (
        LocalCluster(
            n_workers=workers,
            threads_per_worker=1,
            processes=True,
            dashboard_address=None,
            env=ONE_THREAD,
            # The cache holds what was computed; a worker needs no memory beyond that.
            memory_limit=0,
        ) as cluster,
        Client(cluster) as client,
    ):
        yield client


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tasks:
    """Tasks of the scheduler by what they compute, each once."""

    client: "Client"
    cache: Path | None
    with_safety: bool
    known: "dict[str, Future]" = field(default_factory=dict)

    def design(self, case: Case) -> "Future":
        """Return the task of a design."""
        plans = [plan_stack(case, name) for name in (QUICK_CHANGE, FOUR_WAY)]
        stacks = [self._stack(case, plan) for plan in plans]
        return self.client.submit(finish_design, case, stacks, pure=False)

    def _stack(self, case: Case, plan: StackPlan) -> "Future":
        with_safety = self.with_safety and plan.name == QUICK_CHANGE
        key = figures_key(case, plan, with_safety=with_safety)
        size, settings = fineness(case)
        if key not in self.known:
            parts = [
                self._task(
                    part_key(part, size, settings),
                    reduce_one,
                    part,
                    size,
                    settings,
                    self.cache,
                )
                for part in plan.parts
            ]
            self._task(key, solve_stack, case, plan, self.cache, with_safety, parts)
        return self.known[key]

    def _task(self, key: str, work: Callable[..., Any], *given: Any) -> "Future":
        if key not in self.known:
            self.known[key] = self.client.submit(work, *given, pure=False)
        return self.known[key]


def _outcomes(
    reading: CaseReading, designs: list[Design], tasks: _Tasks
) -> Iterator[tuple[Design, Outcome]]:
    """Give each design as it is finished; what cannot be made comes first."""
    from distributed import as_completed

    waiting: dict[Any, Design] = {}
    for design in designs:
        try:
            case = with_values(reading, design.values).case
            waiting[tasks.design(case)] = design
        except InputError as error:
            yield design, Outcome(row={}, reason=str(error))
    for future, outcome in as_completed(list(waiting), with_results=True):
        yield waiting[future], outcome
