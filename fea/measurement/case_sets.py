"""What a case's stacks do in its cuts, for given sets of scores."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fea.analysis.bands import set_shares, stiffness_along
from fea.analysis.chatter_samples import cut_at, sample_limits
from fea.analysis.clamping_scatter import clamping_scatter
from fea.analysis.distinct import distinct
from fea.analysis.draw import Constants
from fea.analysis.member import Group, group_of
from fea.analysis.mode_samples import modes_about, point_stiffness
from fea.analysis.regeneration import regeneration, working_depth
from fea.analysis.set_blocks import SetBlock, follow_blocks, sampled_model
from fea.analysis.stack_answer import StackAnswer
from fea.case.schema import Case
from fea.core.contact_model import ContactModel
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
    Sets that repeat others are followed once.
    """
    first, which = distinct(scores)
    some = scores[first]
    curve = answer.path.curve
    chosen = np.unique(np.linspace(0, len(curve.depth_mm) - 1, DEPTHS).round())
    at = chosen.astype(int)
    cut = cut_at(case, unknowns.quantiles(some))
    forces = harder(curve.force_n[at], cut.tangential, cut.thrust)
    model = sampled_model(answer.stack)
    found = _followed(case, answer, model, unknowns.constants(some), forces)
    ring = modes_about(
        answer.stack,
        model,
        (found.points, found.held),
        unknowns.constants(some).ground,
        unknowns.loss_factors(some),
    )
    speed = np.array([case.spindle.speed])
    limits = sample_limits(ring, cut, regeneration(case), speed)
    stiffness = stiffness_along(found.motion_mm[:, -1], forces[:, -1])
    return StackSets(
        name=answer.plan.name,
        depth_mm=curve.depth_mm[at],
        deflection_um=found.motion_mm[which] * UM_PER_MM,
        stiffness_n_per_um=stiffness[which],
        shares={name: share[which] for name, share in found.shares.items()},
        limit_mm=limits.limit_mm[which, 0],
        smallest_mm=limits.smallest_mm[which],
        damping_ratio=ring.damping_ratio[which, 0],
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Followed:
    """What became of s sets: in cuts, and at the depth about which they vibrate.

    Parameters
    ----------
    motion_mm : (s, k, 3)
    shares : member to (s,), of the motion at the last depth
    points : (h, 3 p) stiffness at all points, in the sets that hold
    held : (s,)
    """

    motion_mm: FloatArray
    shares: Mapping[str, FloatArray]
    points: FloatArray
    held: FloatArray


def _followed(
    case: Case,
    answer: StackAnswer,
    model: ContactModel,
    constants: Constants,
    forces: FloatArray,
) -> _Followed:
    """Follow all sets through forces (s, k, 3) [N], and to the working depth's."""
    stack, curve = answer.stack, answer.path.curve
    working = curve.force_n[np.abs(curve.depth_mm - working_depth(case)).argmin()]

    def follow(block: SetBlock) -> _Followed:
        own = forces[block.sets]
        motion, states = followed(own, block.sampled, block.clamped)
        path = [block.clamped, *states]
        vibrating = block.sampled.load(block.clamped, working)
        return _Followed(
            motion_mm=motion,
            shares=set_shares(stack, model, path, own[:, -1]),
            points=point_stiffness(model, block.laws, vibrating),
            held=vibrating.held,
        )

    scatter = clamping_scatter(case, answer.plan)
    blocks = follow_blocks(stack, model, constants, scatter, follow)
    motion = np.concatenate([each.motion_mm for each in blocks])
    lost = np.isnan(motion[:, -1, 0])
    return _Followed(
        motion_mm=motion,
        shares={
            name: np.where(
                lost, np.nan, np.concatenate([each.shares[name] for each in blocks])
            )
            for name in blocks[0].shares
        },
        points=np.vstack([each.points for each in blocks]),
        held=np.concatenate([each.held for each in blocks]),
    )
