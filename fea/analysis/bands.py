"""Bands on what is predicted: joints, ground and clamping are known roughly only."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fea.analysis.clamping_scatter import Scatter
from fea.analysis.cutting_path import CutPath
from fea.analysis.distribution import BAND
from fea.analysis.draw import Constants
from fea.analysis.result import Bands
from fea.analysis.set_blocks import SetBlock, follow_blocks, sampled_model
from fea.analysis.work_shares import contact_rows
from fea.core.contact_model import ContactModel
from fea.core.contact_samples import SampledStack
from fea.core.contact_sets import SampledState
from fea.core.stack import Stack, split
from fea.machining.fed import RADIAL, Fed
from geometry.pad import FloatArray
from geometry.units import UM_PER_MM

DEPTHS = 4  # of the curve's at which the band is computed


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampled:
    """Bands of a stack and, for ratios, its stiffness in every set.

    `stiffness` (s,) along the cutting force at the depth at which stacks are compared;
    NaN where a joint is lost before it [N/um].
    """

    bands: Bands
    stiffness: FloatArray


def sample_bands(
    stack: Stack,
    path: CutPath,
    constants: Constants,
    scatter: Mapping[str, Scatter],
    compared_mm: float,
) -> Sampled:
    """Follow the cut through the stack with every set of constants.

    The forces are those of the nominal stack: that the tool gives way a little more or
    less changes them by much less than the constants change the motion.

    Parameters
    ----------
    stack : assembled
    path : of the nominal constants
    constants : drawn
    scatter : of clamping forces, by joint or link
    compared_mm : one of the path's depths, at which stacks are compared
    """
    depths = path.curve.depth_mm
    compared = int(np.abs(depths - compared_mm).argmin())
    spread = np.linspace(0, len(depths) - 1, DEPTHS).round().astype(int)
    chosen = np.union1d(spread, compared)
    forces = path.curve.force_n[chosen]
    found = _follow_all(stack, constants, scatter, forces)
    at = int(np.searchsorted(chosen, compared))
    return Sampled(
        bands=_bands(found, depths[chosen], forces[-1], path.curve.fed),
        stiffness=np.where(
            found.held[at], stiffness_along(found.motions[at], forces[at]), np.nan
        ),
    )


def _bands(
    found: "_Followed", depths: FloatArray, force: FloatArray, fed: Fed
) -> Bands:
    held = found.held[-1]
    motions = found.motions[:, held] * UM_PER_MM
    wider = 0.0 if fed is Fed.ACROSS else 2.0
    stiffness = stiffness_along(found.motions[-1, held], force)
    return Bands(
        samples=len(held),
        depth_mm=depths,
        deflection_um=np.quantile(motions, BAND, axis=1),
        diameter_error_um=wider * np.quantile(motions[:, :, RADIAL], BAND, axis=1),
        compliance_um_per_n=np.quantile(found.compliance[held], BAND, axis=0)
        * UM_PER_MM,
        stiffness_n_per_um=np.quantile(stiffness, BAND),
        shares={
            name: (float(low), float(high))
            for name, share in found.shares.items()
            for low, high in [np.quantile(share[held], BAND)]
        },
        lost=float(1.0 - held.mean()),
    )


def stiffness_along(motion: FloatArray, force: FloatArray) -> FloatArray:
    """Force over motion along it, set by set.

    (s, 3) [mm], (3,) or (s, 3) [N] to (s,) [N/um].
    """
    along = (motion * force).sum(axis=-1)
    return np.asarray((force**2).sum(axis=-1) / along / UM_PER_MM)


def ratio_band(one: Sampled, other: Sampled) -> FloatArray:
    """Band of the ratio of two stacks' stiffnesses, same constants in both. (2,)."""
    ratios = one.stiffness / other.stiffness
    return np.asarray(np.nanquantile(ratios, BAND))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Followed:
    """What became of sets of constants: (k, s, 3), (s, 3, 3), (s,) each, (k, s)."""

    motions: FloatArray
    compliance: FloatArray
    shares: dict[str, FloatArray]
    held: FloatArray


def _follow_all(
    stack: Stack,
    constants: Constants,
    scatter: Mapping[str, Scatter],
    forces: FloatArray,
) -> _Followed:
    """Follow all sets through forces (k, 3) [N]."""

    def follow(block: SetBlock) -> _Followed:
        return _follow(stack, block.sampled, block.clamped, forces)

    model = sampled_model(stack)
    blocks = follow_blocks(stack, model, constants, scatter, follow)
    return _Followed(
        motions=np.concatenate([each.motions for each in blocks], axis=1),
        compliance=np.concatenate([each.compliance for each in blocks]),
        shares={
            name: np.concatenate([each.shares[name] for each in blocks])
            for name in blocks[0].shares
        },
        held=np.concatenate([each.held for each in blocks], axis=1),
    )


def _follow(
    stack: Stack, sampled: SampledStack, clamped: SampledState, forces: FloatArray
) -> _Followed:
    states = [clamped]
    for force in forces:
        states.append(sampled.load(states[-1], force))
    rest = sampled.tip_motion(states[0], np.zeros(3))
    motions = [
        sampled.tip_motion(state, force) - rest
        for state, force in zip(states[1:], forces, strict=True)
    ]
    return _Followed(
        motions=np.array(motions),
        compliance=sampled.tip_compliance(states[0]),
        shares=set_shares(stack, sampled.model, states, forces[-1]),
        held=np.array([state.held for state in states[1:]]),
    )


def set_shares(
    stack: Stack, model: ContactModel, states: list[SampledState], force: FloatArray
) -> dict[str, FloatArray]:
    """Share of every member in the work, set by set; as `work_shares`. (s,) each.

    `force` (3,) or (s, 3) of the last state [N].
    """
    m = model.interface.size
    start = states[0].tractions
    work = {name: np.zeros(len(start)) for name in model.interface.slices}
    for before, after in pairwise(states):
        mean = (before.tractions + after.tractions) / 2.0 - start
        change = mean * (after.unknowns[:, :m] - before.unknowns[:, :m])
        for name, own in model.interface.slices.items():
            work[name] += change[:, own].sum(axis=1)
    elastic, _, give = split(stack)
    rows = np.vstack([*contact_rows(stack, model), stack.tip_rows])[:, elastic]
    pulls = np.hstack(
        [start - states[-1].tractions, np.broadcast_to(force, (len(start), 3))]
    )
    first = 0
    for part in stack.parts:
        own = slice(first, first + part.reduced.n_elastic)
        first = own.stop
        bent = (pulls @ rows[:, own]) * give[own]
        work[part.name] = (bent**2 / give[own]).sum(axis=1) / 2.0
    total = sum(work.values())
    return {name: each / total for name, each in work.items()}
