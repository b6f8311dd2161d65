"""One bench and what was measured on it: from scores to what the model predicts."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from fea.analysis.chatter_samples import CUT_NAMES, cut_at
from fea.analysis.cut import TANGENTIAL, THRUST, force_factors
from fea.analysis.distinct import distinct
from fea.analysis.draw import constant_names
from fea.analysis.held_work import CHUCK_STIFFNESS
from fea.analysis.mode_samples import SampledModes, loss_name
from fea.analysis.regeneration import working_depth
from fea.analysis.small_stack import SmallStack
from fea.core.damping import loss_factors
from fea.measurement.bench import Bench
from fea.measurement.cut_course import (
    CutCourse,
    CutMotion,
    cut_course,
    cut_motion,
    depth_cut,
    left_standing,
    tip_at,
    work_compliance,
)
from fea.measurement.observation import Kind, Observation, of_kind
from fea.measurement.push_course import PushCourse, push_courses, tangent_readings
from fea.measurement.record import PushReading, SpringPass, TapResult, TestCut
from fea.measurement.ringing import basis, limits, modes, tapped
from fea.measurement.statics import Statics, Wanted, statics
from fea.measurement.unknowns import Unknowns
from geometry.pad import FloatArray

IN_CUTS = (Kind.SPRING, Kind.DEFLECTION, Kind.GRADE, Kind.CHATTER)
RUNG = (Kind.FREQUENCY, Kind.DAMPING)
SEED = 31  # any: fixes the sets that the small basis is made for
BASIS_SETS = 24


@dataclass(frozen=True, kw_only=True)
class Rig:
    """A bench with its observations.

    Parameters
    ----------
    bench : the stack
    unknowns : whose scores are given
    seen : what was observed, by kind
    pushes : courses, in the order of the push tests
    feeds : of the cuts [mm], each with its course
    small : basis for modes, None where nothing rang
    """

    bench: Bench
    unknowns: Unknowns
    seen: tuple[Observation, ...]
    pushes: tuple[PushCourse, ...]
    feeds: dict[float, CutCourse]
    small: SmallStack | None

    @property
    def static_names(self) -> list[str]:
        """Names of what the equilibria of this stack, in its cuts, depend on."""
        joints = [joint.name for joint in self.bench.model.contacts]
        screws = dict.fromkeys(each.screw for each in self.bench.scatter.values())
        return [*constant_names(joints, screws), TANGENTIAL, THRUST]

    def tangent_values(self, scores: FloatArray, *, near: bool = False) -> FloatArray:
        """Predict every observation, push tests without their slip. (s, n).

        `near`: whether all scores lie close to the first.
        """
        own = [
            *self.static_names,
            *CUT_NAMES,
            *map(loss_name, loss_factors(self.bench.stack)),
        ]
        first, which = distinct(scores[:, self.unknowns.places(own)])
        some = scores[first]
        found = _statics(self, some, near=near)
        pushes = [tangent_readings(each, found.compliance) for each in self.pushes]
        return _values(self, some, found, pushes)[which]

    def push_values(self, scores: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Push tests followed through their slip, and by the tangent. (s, n) each.

        Scores (s, d) lie close to the first.
        """
        bare = replace(self, feeds={})
        found = _statics(bare, scores, follow_pushes=True, near=True)
        tangent = [tangent_readings(each, found.compliance) for each in self.pushes]
        return np.hstack(found.pushes), np.hstack(tangent)


def rig(bench: Bench, unknowns: Unknowns, seen: Sequence[Observation]) -> Rig:
    """Put observations on a bench."""
    pushes = [o.record for o in seen if isinstance(o.record, PushReading)]
    bare = Rig(
        bench=bench,
        unknowns=unknowns,
        seen=tuple(seen),
        pushes=tuple(push_courses(bench, pushes)),
        feeds=_courses(bench, seen),
        small=None,
    )
    if not of_kind(seen, *RUNG, Kind.CHATTER):
        return bare
    scores = np.random.default_rng(SEED).standard_normal((BASIS_SETS, unknowns.count))
    found = _statics(bare, scores)
    ground = unknowns.constants(scores).ground
    return replace(bare, small=basis(bench, found.clamped, ground))


def _courses(bench: Bench, seen: Sequence[Observation]) -> dict[float, CutCourse]:
    records = [
        each.record for each in seen if isinstance(each.record, SpringPass | TestCut)
    ]
    found = {}
    for feed, group in groupby(sorted(records, key=_feed), key=_feed):
        deepest = max(record.depth_mm for record in group)
        found[feed] = cut_course(bench.case, feed, deepest)
    return found


def _feed(record: SpringPass | TestCut) -> float:
    return record.feed_mm


def _statics(
    rig: Rig, scores: FloatArray, *, follow_pushes: bool = False, near: bool = False
) -> Statics:
    """Follow what is different; many sets differ in what rings or is seen only."""
    own = rig.unknowns.places(rig.static_names)
    first, which = distinct(scores[:, own])
    some = scores[first]
    courses = tuple(rig.feeds.values())
    working = 0
    if courses:
        half = working_depth(rig.bench.case)
        working = int(np.abs(courses[0].depth_mm - half).argmin())
    wanted = Wanted(
        pushes=rig.pushes if follow_pushes else (), cuts=courses, working=working
    )
    found = statics(
        rig.bench,
        rig.unknowns.constants(some),
        _factors(rig, some),
        wanted,
        near=near,
    )
    return found.rows(which)


def _factors(rig: Rig, scores: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Factors on tangential force and on thrust. (s,) each."""
    hard, softer = force_factors(rig.bench.case, rig.unknowns.quantiles(scores))
    return hard, hard * softer


def _values(
    rig: Rig, scores: FloatArray, found: Statics, pushes: Sequence[FloatArray]
) -> FloatArray:
    columns: list[FloatArray] = [column for course in pushes for column in course.T]
    if rig.feeds:
        columns += _cut_columns(rig, scores, found)
    if of_kind(rig.seen, Kind.CHATTER):
        columns += _limit_columns(rig, scores, found)
    if of_kind(rig.seen, *RUNG):
        columns += _tap_columns(rig, scores, found)
    return np.column_stack(columns)


def _cut_columns(rig: Rig, scores: FloatArray, found: Statics) -> list[FloatArray]:
    chuck = rig.unknowns.quantiles(scores)[CHUCK_STIFFNESS]
    work = work_compliance(rig.bench.case, chuck)
    tip = found.compliance[:, :3, :3]
    motions = {
        feed: cut_motion(course, motion, tip, _factors(rig, scores), work)
        for (feed, course), motion in zip(rig.feeds.items(), found.cuts, strict=True)
    }
    return [
        _cut_value(each, motions[each.record.feed_mm])
        for each in rig.seen
        if each.kind in IN_CUTS
        and each.kind is not Kind.CHATTER
        and isinstance(each.record, SpringPass | TestCut)
    ]


def _cut_value(seen: Observation, motion: CutMotion) -> FloatArray:
    if isinstance(seen.record, SpringPass):
        return left_standing(motion, seen.record.depth_mm, seen.record.passes)
    if not isinstance(seen.record, TestCut):
        raise TypeError(seen.record)
    sets = np.full(len(motion.apart_mm), seen.record.depth_mm)
    tip = tip_at(motion, depth_cut(motion, sets))
    if seen.kind is Kind.GRADE:
        return np.asarray(np.linalg.norm(tip, axis=1))
    return tip[:, 0]


def _limit_columns(rig: Rig, scores: FloatArray, found: Statics) -> list[FloatArray]:
    cuts = [
        each.record
        for each in rig.seen
        if each.kind is Kind.CHATTER and isinstance(each.record, TestCut)
    ]
    ring = _ring(rig, scores, found, working=True)
    sets = cut_at(rig.bench.case, rig.unknowns.quantiles(scores))
    columns: dict[tuple[float, float], FloatArray] = {}
    for feed in {cut.feed_mm for cut in cuts}:
        speeds = sorted({cut.speed_rpm for cut in cuts if cut.feed_mm == feed})
        limit = limits(rig.bench.case, ring, sets, feed, speeds)
        columns |= {
            (feed, speed): column for speed, column in zip(speeds, limit.T, strict=True)
        }
    return [columns[cut.feed_mm, cut.speed_rpm] for cut in cuts]


def _tap_columns(rig: Rig, scores: FloatArray, found: Statics) -> list[FloatArray]:
    ring = _ring(rig, scores, found, working=False)
    taps = [
        each.record
        for each in rig.seen
        if each.kind is Kind.FREQUENCY and isinstance(each.record, TapResult)
    ]
    both = tapped(rig.bench, ring, taps)
    return [*both[:, :, 0].T, *both[:, :, 1].T]


def _ring(
    rig: Rig, scores: FloatArray, found: Statics, *, working: bool
) -> SampledModes:
    if rig.small is None:
        raise ValueError(rig)
    return modes(
        rig.bench,
        rig.small,
        found.working if working else found.clamped,
        rig.unknowns.constants(scores).ground,
        rig.unknowns.loss_factors(scores),
    )
