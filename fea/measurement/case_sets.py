"""What a case's stacks do in its cuts, for given sets of scores."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fea.analysis.bands import set_shares, stiffness_along
from fea.analysis.chatter_samples import cut_at, sample_limits
from fea.analysis.clamping_scatter import clamping_scatter
from fea.analysis.member import Group, group_of
from fea.analysis.mode_samples import sample_modes
from fea.analysis.regeneration import regeneration, working_depth
from fea.analysis.set_blocks import SetBlock, follow_blocks, sampled_model
from fea.analysis.stack_answer import StackAnswer
from fea.case.schema import Case
from fea.measurement.cut_course import followed, harder
from fea.measurement.unknowns import Unknowns
from geometry.pad import FloatArray
from geometry.units import UM_PER_MM

DEPTHS = 4  # of the case's at which deflections are told


@dataclass(frozen=True, slots=True, kw_only=True)
class StackSets:
    """One stack in s sets of scores; NaN in sets in which a joint is lost.

    Parameters
    ----------
    name : of the stack
    depth_mm : (k,) set depths; the last is the deepest that the nominal stack holds
    deflection_um : (s, k, 3) of the tip
    stiffness_n_per_um : (s,) along the cutting force at the deepest
    shares : member to (s,) share of the motion at the deepest
    limit_mm : (s,) of chatter at the case's speed; infinite where nothing tried does
    smallest_mm : (s,) over all speeds
    damping_ratio : (s,) of the lowest mode in a cut
    """

    name: str
    depth_mm: FloatArray
    deflection_um: FloatArray
    stiffness_n_per_um: FloatArray
    shares: Mapping[str, FloatArray]
    limit_mm: FloatArray
    smallest_mm: FloatArray
    damping_ratio: FloatArray

    def group(self, group: Group) -> FloatArray:
        """Share of the members of a group. (s,)."""
        own = [share for name, share in self.shares.items() if group_of(name) == group]
        return np.asarray(np.sum(own, axis=0))


def stack_sets(
    case: Case, answer: StackAnswer, unknowns: Unknowns, scores: FloatArray
) -> StackSets:
    """Take a stack through its case's cuts with sets of scores (s, d).

    The forces are those of the nominal stack, times what the sets say of the material.
    """
    curve = answer.path.curve
    chosen = np.unique(np.linspace(0, len(curve.depth_mm) - 1, DEPTHS).round())
    at = chosen.astype(int)
    quantiles = unknowns.quantiles(scores)
    cut = cut_at(case, quantiles)
    forces = harder(curve.force_n[at], cut.tangential, cut.thrust)
    motions, shares = _cut(case, answer, unknowns, scores, forces)
    limit, smallest, ratio = _limits(case, answer, unknowns, scores)
    return StackSets(
        name=answer.plan.name,
        depth_mm=curve.depth_mm[at],
        deflection_um=motions * UM_PER_MM,
        stiffness_n_per_um=stiffness_along(motions[:, -1], forces[:, -1]),
        shares=shares,
        limit_mm=limit,
        smallest_mm=smallest,
        damping_ratio=ratio,
    )


def _cut(
    case: Case,
    answer: StackAnswer,
    unknowns: Unknowns,
    scores: FloatArray,
    forces: FloatArray,
) -> tuple[FloatArray, dict[str, FloatArray]]:
    """Motion (s, k, 3) [mm] under forces (s, k, 3) [N], and shares at the last."""
    stack = answer.stack

    def follow(block: SetBlock) -> tuple[FloatArray, dict[str, FloatArray]]:
        own = forces[block.sets]
        motion, states = followed(own, block.sampled, block.clamped)
        path = [block.clamped, *states]
        shares = set_shares(stack, block.sampled.model, path, own[:, -1])
        return motion, shares

    blocks = follow_blocks(
        stack,
        sampled_model(stack),
        unknowns.constants(scores),
        clamping_scatter(case, answer.plan),
        follow,
    )
    motions = np.concatenate([motion for motion, _ in blocks])
    held = ~np.isnan(motions[:, -1, 0])
    return motions, {
        name: np.where(held, np.concatenate([each[name] for _, each in blocks]), np.nan)
        for name in blocks[0][1]
    }


def _limits(
    case: Case, answer: StackAnswer, unknowns: Unknowns, scores: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Limits at the case's speed and over all [mm], lowest mode's damping. (s,)."""
    curve = answer.path.curve
    working = int(np.abs(curve.depth_mm - working_depth(case)).argmin())
    ring = sample_modes(
        answer.stack,
        curve.force_n[working],
        unknowns.constants(scores),
        clamping_scatter(case, answer.plan),
        unknowns.loss_factors(scores),
    )
    sets = cut_at(case, unknowns.quantiles(scores))
    speed = np.array([case.spindle.speed])
    found = sample_limits(ring, sets, regeneration(case), speed)
    return found.limit_mm[:, 0], found.smallest_mm, ring.damping_ratio[:, 0]
