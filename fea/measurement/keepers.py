"""Stations in processes of their own: stacks stay there, arrays come and go."""

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import count
from multiprocessing import get_context, parent_process
from multiprocessing.managers import BaseManager
from pathlib import Path
from threading import Thread
from typing import TypeVar

from fea.analysis.build import PLANS
from fea.analysis.workforce import on_threads
from fea.case.schema import Case
from fea.core.threads import cores
from fea.measurement.candidates import candidates, pushes_at
from fea.measurement.case_sets import StackSets, stack_sets
from fea.measurement.kept_sets import kept_sets
from fea.measurement.observation import Observation
from fea.measurement.record import PushReading, Records, StackName
from fea.measurement.rig import Rig
from fea.measurement.station import BenchKey, Station
from fea.measurement.unknowns import Unknowns
from geometry.pad import FloatArray

T = TypeVar("T")


class Keeper:
    """Keeps a station and its rigs; all that it takes and gives is small.

    Parameters
    ----------
    case, folder : as `Station`
    """

    def __init__(self, case: Case, folder: Path) -> None:
        self._station = Station(case, folder)
        self._rigs: dict[int, Rig] = {}
        self._numbers = count()

    def answer(self, name: StackName) -> None:
        """Take one of the case's stacks through its cuts."""
        self._station.answer(name)

    def rig(
        self, key: BenchKey, unknowns: Unknowns, seen: Sequence[Observation]
    ) -> int:
        """Put observations on a stack; return the number of the rig."""
        number = next(self._numbers)  # asked for rigs by several threads at once
        self._rigs[number] = self._station.rig(key, unknowns, seen)
        return number

    def tangent_values(self, number: int, scores: FloatArray, near: bool) -> FloatArray:
        """As `Rig.tangent_values`."""
        return self._rigs[number].tangent_values(scores, near=near)

    def push_values(
        self, number: int, scores: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """As `Rig.push_values`."""
        return self._rigs[number].push_values(scores)

    def expected_sets(
        self, name: StackName, unknowns: Unknowns, scores: FloatArray
    ) -> StackSets:
        """As `kept_sets`."""
        own = self._station
        return kept_sets(own.case, own.answer(name), unknowns, scores, own.folder)

    def sets(
        self, name: StackName, unknowns: Unknowns, scores: FloatArray
    ) -> StackSets:
        """As `stack_sets`."""
        own = self._station
        return stack_sets(own.case, own.answer(name), unknowns, scores)

    def candidates(self, name: StackName) -> Records:
        """As `candidates`."""
        own = self._station
        return candidates(own.case, own.stack((name, None)), name)

    def pushes_at(self, name: StackName, overhang_mm: float) -> tuple[PushReading, ...]:
        """As `pushes_at`."""
        stack = self._station.stack((name, overhang_mm))
        return pushes_at(stack, name, overhang_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptRig:
    """A rig that a keeper has.

    Parameters
    ----------
    keeper, number : who has it, under which number
    seen : its observations
    """

    keeper: Keeper
    number: int
    seen: tuple[Observation, ...]

    def tangent_values(self, scores: FloatArray, *, near: bool = False) -> FloatArray:
        """As `Rig.tangent_values`."""
        return self.keeper.tangent_values(self.number, scores, near)

    def push_values(self, scores: FloatArray) -> tuple[FloatArray, FloatArray]:
        """As `Rig.push_values`."""
        return self.keeper.push_values(self.number, scores)


class Keepers:
    """Share the stacks of a case among keepers.

    Parameters
    ----------
    case, folder, workers : whose stacks, where parts are kept, processes that there are
    ready : gives each keeper, as soon as it is there; one, or one for each stack
    """

    def __init__(
        self,
        case: Case,
        folder: Path,
        workers: int,
        ready: Sequence[Callable[[], Keeper]],
    ) -> None:
        self.case, self.folder, self.workers = case, folder, workers
        self._ready = ready

    def of(self, key: BenchKey) -> Keeper:
        """Whose a stack is; the last has those of other overhangs, which are few."""
        name, overhang = key
        own = list(PLANS).index(name) if overhang is None else len(PLANS)
        return self._ready[min(own, len(self._ready) - 1)]()

    def of_both(self, ask: Callable[[Keeper, StackName], T]) -> list[T]:
        """Ask for each of the case's stacks, all at once."""
        with ThreadPoolExecutor(len(PLANS)) as pool:
            return list(pool.map(lambda name: ask(self.of((name, None)), name), PLANS))

    def rig(
        self, key: BenchKey, unknowns: Unknowns, seen: Sequence[Observation]
    ) -> KeptRig:
        """Put observations on a stack, as `Station.rig`."""
        keeper = self.of(key)
        number = keeper.rig(key, unknowns, seen)
        return KeptRig(keeper=keeper, number=number, seen=tuple(seen))


class _Process(BaseManager):
    """A process that keeps a station."""


_Process.register("Keeper", Keeper)


@contextmanager
def keepers(case: Case, folder: Path, workers: int) -> Iterator[Keepers]:
    """Start keepers: a process for each of the case's stacks, or none for one worker.

    A script that asks for more than one must guard its main module.
    """
    if workers < len(PLANS):
        own = Keeper(case, folder)
        yield Keepers(case, folder, workers, [lambda: own])
        return
    processes = [_Process(ctx=get_context("spawn")) for _ in PLANS]
    threads = max(1, min(workers, cores()) // len(processes))

    def start(process: _Process) -> Keeper:
        process.start(_begin, (threads,))
        made: Keeper = process.Keeper(case, folder)  # type: ignore[attr-defined]
        return made

    with ThreadPoolExecutor(len(processes)) as pool:
        # To start takes as long as to read records, which can be done meanwhile.
        jobs = [pool.submit(start, process) for process in processes]
        try:
            yield Keepers(case, folder, workers, [job.result for job in jobs])
        finally:
            for process, job in zip(processes, jobs, strict=True):
                if job.exception() is None:
                    process.shutdown()


def _begin(threads: int) -> None:
    """Keep to so many threads, and end with the process that asked."""
    on_threads(threads)
    asking = parent_process()
    if asking is not None:
        Thread(target=_end_after, args=(asking.join,), daemon=True).start()


def _end_after(wait: Callable[[], None]) -> None:
    wait()
    os._exit(1)
