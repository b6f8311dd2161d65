"""From scores to predictions of all that was measured, on all stacks and overhangs."""

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

import numpy as np

from fea.analysis.build import PLANS, build_stack, plan_stack
from fea.analysis.clamping_scatter import clamping_scatter
from fea.case.schema import Case
from fea.case.table_spread import ground_spread
from fea.core.stack import Stack
from fea.measurement.bench import Watch, bench
from fea.measurement.observation import (
    Kind,
    Observation,
    Record,
    observations,
    of_kind,
)
from fea.measurement.overhang import with_overhang
from fea.measurement.record import PushReading, Records, Source, TapResult
from fea.measurement.rig import Rig, push_values, rig, tangent_values
from fea.measurement.unknowns import Unknowns, unknowns_of
from geometry.pad import FloatArray

BenchKey = tuple[str, float | None]
"""Name of a stack, and the tool's overhang where it is not the case's [mm]."""
STEP = 0.05
"""Of a score, to find derivatives: its effect is a percent, equilibria hold to 1e-6."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """What slip adds to push tests, about one set of scores.

    Parameters
    ----------
    scores : (d,)
    added : (n,) [um] by the push tests of all rigs
    slopes : (n, d)
    """

    scores: FloatArray
    added: FloatArray
    slopes: FloatArray


@dataclass(frozen=True, kw_only=True)
class ForwardModel:
    """All rigs.

    Parameters
    ----------
    unknowns : whose scores are given
    rigs : each with its observations
    seen : observations of all rigs, one rig after the other
    """

    unknowns: Unknowns
    rigs: tuple[Rig, ...]
    seen: tuple[Observation, ...]

    def predicted(
        self, scores: FloatArray, slip: Slip, *, near: bool = False
    ) -> FloatArray:
        """Predict every observation at scores (s, d). (s, n).

        What slip adds to push tests is taken along straight lines from where `slip`
        was found; all else is followed in full. `near`: whether all scores lie close
        to the first, which takes a fraction of the time.
        """
        with ThreadPoolExecutor(len(self.rigs)) as pool:
            found = pool.map(
                lambda each: tangent_values(each, scores, near=near), self.rigs
            )
            values = np.hstack(list(found))
        pushes = of_kind(self.seen, Kind.PUSH)
        values[:, pushes] += slip.added + (scores - slip.scores) @ slip.slopes.T
        return np.asarray(values)

    def slip(self, scores: FloatArray) -> Slip:
        """Follow all push tests about scores (d,)."""
        if not of_kind(self.seen, Kind.PUSH):
            return self.no_slip()
        pushed = [each for each in self.rigs if each.pushes]
        with ThreadPoolExecutor(len(pushed)) as pool:
            found = pool.map(lambda each: push_values(each, around(scores)), pushed)
            added = np.hstack([followed - tangent for followed, tangent in found])
        added = np.nan_to_num(added)
        return Slip(
            scores=scores,
            added=added[0],
            slopes=np.asarray((added[1:] - added[0]).T / STEP),
        )

    def no_slip(self) -> Slip:
        """Take all joints of push tests to stick."""
        count = len(of_kind(self.seen, Kind.PUSH)), self.unknowns.count
        return Slip(
            scores=np.zeros(count[1]), added=np.zeros(count[0]), slopes=np.zeros(count)
        )


def forward_model(
    case: Case,
    records: Records,
    folder: Path,
    stacks: Mapping[BenchKey, Stack] = MappingProxyType({}),
) -> ForwardModel:
    """Build what is needed to predict the records of a case.

    Parameters
    ----------
    case : as `load_case` gives it
    records : what was measured
    folder : cache of reduced parts
    stacks : that are built already

    Raises
    ------
    InputError
        A spot is not on its part.
    MeshError, SolveError
        As `build_stack`.
    """
    plans = [plan_stack(case, name) for name in PLANS]
    screws = [
        one.screw for plan in plans for one in clamping_scatter(case, plan).values()
    ]
    seen = observations(records)
    keys = dict.fromkeys(_bench_key(each, case) for each in seen)
    built = {
        key: stacks.get(key) or build_stack(with_overhang(case, key[1]), key[0], folder)
        for key in [*((name, None) for name in PLANS), *keys]
    }
    unknowns = unknowns_of(
        [built[name, None] for name in PLANS], screws, ground_spread(case)
    )
    rigs = []
    for key in keys:
        own = [each for each in seen if _bench_key(each, case) == key]
        name, overhang = key
        stand = bench(with_overhang(case, overhang), built[key], name, _watches(own))
        rigs.append(rig(stand, unknowns, own))
    return ForwardModel(
        unknowns=unknowns,
        rigs=tuple(rigs),
        seen=tuple(each for one in rigs for each in one.seen),
    )


def around(scores: FloatArray) -> FloatArray:
    """Scores (d,), and with each of them a step further. (d + 1, d)."""
    return np.vstack([scores, scores + STEP * np.eye(len(scores))])


def _bench_key(seen: Observation, case: Case) -> BenchKey:
    record = seen.record
    overhang = record.overhang_mm if isinstance(record, PushReading) else None
    return seen.stack, None if overhang == case.tool.overhang else overhang


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
