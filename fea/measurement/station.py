"""Stacks of a case as they stood when something was measured on them."""

from collections.abc import Sequence
from functools import cache, partial
from pathlib import Path
from threading import RLock

from fea.analysis.build import build_stack
from fea.analysis.stack_answer import StackAnswer, answered
from fea.case.schema import Case
from fea.core.stack import Stack
from fea.measurement.bench import Watch, bench
from fea.measurement.observation import Observation, Record
from fea.measurement.overhang import with_overhang
from fea.measurement.record import PushReading, Source, StackName, TapResult
from fea.measurement.rig import Rig, rig
from fea.measurement.unknowns import Unknowns

BenchKey = tuple[StackName, float | None]
"""Name of a stack, and the tool's overhang where it is not the case's [mm]."""


class Station:
    """What stands ready to be measured; every stack is built when it is first needed.

    Parameters
    ----------
    case : as `load_case` gives it
    folder : cache of reduced parts
    """

    def __init__(self, case: Case, folder: Path) -> None:
        self.case, self.folder = case, folder
        self._answer = cache(partial(answered, case, folder=folder))
        self._stack = cache(self._built)
        self._building = RLock()

    def rig(
        self, key: BenchKey, unknowns: Unknowns, seen: Sequence[Observation]
    ) -> Rig:
        """Put observations on a stack.

        Raises
        ------
        InputError
            A spot is not on its part.
        MeshError, SolveError
            As `build_stack`.
        """
        name, overhang = key
        case = with_overhang(self.case, overhang)
        stand = bench(case, self.stack(key), name, _watches(seen))
        return rig(stand, unknowns, seen)

    def answer(self, name: StackName) -> StackAnswer:
        """Take one of the case's stacks through the case's cuts."""
        # Of threads that need the same at once, one builds it.
        with self._building:
            return self._answer(name)

    def stack(self, key: BenchKey) -> Stack:
        """Return a stack with the tool as far out as the key says."""
        with self._building:
            return self._stack(key)

    def _built(self, key: BenchKey) -> Stack:
        name, overhang = key
        if overhang is None:
            return self.answer(name).stack
        return build_stack(with_overhang(self.case, overhang), name, self.folder)


def _watches(seen: Sequence[Observation]) -> dict[Watch, Source]:
    """Spots and directions, and where each is written down first."""
    found: dict[Watch, Source] = {}
    for each in seen:
        for watch in _watched(each.record):
            found.setdefault(watch, each.source)
    return found


def _watched(record: Record) -> list[Watch]:
    if isinstance(record, PushReading):
        return [
            (record.force_at, record.force_along),
            (record.read_at, record.read_along),
        ]
    if not isinstance(record, TapResult):
        return []
    struck = [(record.struck, record.struck_along)]
    if record.heard is None:
        return struck
    return [*struck, (record.heard, record.struck_along)]
