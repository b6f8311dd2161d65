"""Equilibria of a bench in many sets of constants: pushed, and taken through cuts."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.analysis.draw import Constants
from fea.analysis.mode_samples import point_stiffness
from fea.analysis.set_blocks import SetBlock, follow_blocks
from fea.core.contact_sets import SampledState
from fea.measurement import cut_course, push_course
from fea.measurement.bench import Bench
from fea.measurement.ringing import Between
from geometry.mesh import IntArray
from geometry.pad import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is to be followed in every set.

    Parameters
    ----------
    pushes : courses whose slip is followed; of others the tangent says enough
    cuts : courses of cuts
    working : step of the first course of cuts about which the stack vibrates in a cut
    """

    pushes: Sequence[push_course.PushCourse]
    cuts: Sequence[cut_course.CutCourse]
    working: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Statics:
    """What was found, set by set.

    Parameters
    ----------
    compliance : (s, f, f) for small forces on the clamped stack [mm/N]
    pushes : (s, n) of each course [um]
    cuts : (s, k, 3) motion of the tip in each course [mm]
    clamped, working : joints without a cut, and in one
    """

    compliance: FloatArray
    pushes: Sequence[FloatArray]
    cuts: Sequence[FloatArray]
    clamped: Between
    working: Between

    def rows(self, which: IntArray) -> "Statics":
        """Return some of the sets, repeated as asked for."""
        return Statics(
            compliance=self.compliance[which],
            pushes=[each[which] for each in self.pushes],
            cuts=[each[which] for each in self.cuts],
            clamped=self.clamped.rows(which),
            working=self.working.rows(which),
        )


def statics(
    bench: Bench,
    constants: Constants,
    factors: tuple[FloatArray, FloatArray],
    wanted: Wanted,
    *,
    near: bool,
) -> Statics:
    """Clamp, push and cut with every set of constants.

    `factors` (s,) on tangential force and on thrust; `near` as `follow_blocks`.
    """

    def follow(block: SetBlock) -> Statics:
        hard, thrust = (each[block.sets] for each in factors)
        return _follow(bench, block, (hard, thrust), wanted)

    blocks = follow_blocks(
        bench.stack, bench.model, constants, bench.scatter, follow, near=near
    )
    return Statics(
        compliance=np.concatenate([each.compliance for each in blocks]),
        pushes=_joined([each.pushes for each in blocks]),
        cuts=_joined([each.cuts for each in blocks]),
        clamped=_all([each.clamped for each in blocks]),
        working=_all([each.working for each in blocks]),
    )


def _follow(
    bench: Bench,
    block: SetBlock,
    factors: tuple[FloatArray, FloatArray],
    wanted: Wanted,
) -> Statics:
    sampled, clamped = block.sampled, block.clamped
    pushes = [push_course.followed(each, sampled, clamped) for each in wanted.pushes]
    motions, working = [], clamped
    for number, course in enumerate(wanted.cuts):
        forces = cut_course.harder(course.force_n, *factors)
        motion, states = cut_course.followed(forces, sampled, clamped)
        motions.append(motion)
        if number == 0:
            working = states[wanted.working]
    return Statics(
        compliance=sampled.tip_compliance(clamped),
        pushes=pushes,
        cuts=motions,
        clamped=_between(bench, block, clamped),
        working=_between(bench, block, working),
    )


def _between(bench: Bench, block: SetBlock, state: SampledState) -> Between:
    found = point_stiffness(bench.model, block.laws, state)
    points = np.full((len(state.held), found.shape[1]), np.nan)
    points[state.held] = found
    return Between(points=points, held=state.held)


def _joined(blocks: Sequence[Sequence[FloatArray]]) -> list[FloatArray]:
    """Arrays of many blocks, one after the other, course by course."""
    return [np.concatenate(course) for course in zip(*blocks, strict=True)]


def _all(blocks: Sequence[Between]) -> Between:
    return Between(
        points=np.concatenate([each.points for each in blocks]),
        held=np.concatenate([each.held for each in blocks]),
    )
