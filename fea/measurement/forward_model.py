"""From scores to predictions of all that was measured, on all stacks and overhangs."""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from fea.analysis.build import PLANS, plan_stack
from fea.analysis.clamping_scatter import clamping_scatter
from fea.case.schema import Case
from fea.case.table_spread import ground_spread
from fea.measurement.observation import Kind, Observation, observations, of_kind
from fea.measurement.record import PushReading, Records
from fea.measurement.station import BenchKey
from fea.measurement.unknowns import Unknowns, unknowns_of
from geometry.pad import FloatArray

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


class Predictor(Protocol):
    """A rig, wherever it is kept."""

    @property
    def seen(self) -> tuple[Observation, ...]:
        """Its observations."""

    def tangent_values(self, scores: FloatArray, *, near: bool = False) -> FloatArray:
        """As `Rig.tangent_values`."""

    def push_values(self, scores: FloatArray) -> tuple[FloatArray, FloatArray]:
        """As `Rig.push_values`."""


PutUp = Callable[[BenchKey, Unknowns, Sequence[Observation]], Predictor]
"""Puts observations on a stack: `Station.rig`, or `Keepers.rig`."""


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
    rigs: tuple[Predictor, ...]
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
                lambda each: each.tangent_values(scores, near=near), self.rigs
            )
            values = np.hstack(list(found))
        pushes = of_kind(self.seen, Kind.PUSH)
        values[:, pushes] += slip.added + (scores - slip.scores) @ slip.slopes.T
        return np.asarray(values)

    def slip(self, scores: FloatArray) -> Slip:
        """Follow all push tests about scores (d,)."""
        if not of_kind(self.seen, Kind.PUSH):
            return self.no_slip()
        pushed = [each for each in self.rigs if of_kind(each.seen, Kind.PUSH)]
        with ThreadPoolExecutor(len(pushed)) as pool:
            found = pool.map(lambda each: each.push_values(around(scores)), pushed)
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


def forward_model(case: Case, records: Records, put_up: PutUp) -> ForwardModel:
    """Build what is needed to predict the records of a case.

    Parameters
    ----------
    case : as `load_case` gives it
    records : what was measured
    put_up : of the same case

    Raises
    ------
    InputError, MeshError, SolveError
        As `Station.rig`.
    """
    plans = [plan_stack(case, name) for name in PLANS]
    screws = [
        one.screw for plan in plans for one in clamping_scatter(case, plan).values()
    ]
    unknowns = unknowns_of(plans, screws, ground_spread(case))
    by_key: dict[BenchKey, list[Observation]] = {}
    for each in observations(records):
        by_key.setdefault(_bench_key(each, case), []).append(each)
    with ThreadPoolExecutor(max(1, len(by_key))) as pool:
        found = pool.map(lambda own: put_up(own[0], unknowns, own[1]), by_key.items())
        rigs = tuple(found)
    seen = tuple(each for one in rigs for each in one.seen)
    return ForwardModel(unknowns=unknowns, rigs=rigs, seen=seen)


def around(scores: FloatArray) -> FloatArray:
    """Scores (d,), and with each of them a step further. (d + 1, d)."""
    return np.vstack([scores, scores + STEP * np.eye(len(scores))])


def _bench_key(seen: Observation, case: Case) -> BenchKey:
    record = seen.record
    overhang = record.overhang_mm if isinstance(record, PushReading) else None
    return seen.stack, None if overhang == case.tool.overhang else overhang
