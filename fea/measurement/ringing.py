"""Tap tests and chatter: how a stack rings in every set of constants."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fea.analysis.chatter_samples import CutSets, sample_speed_limits
from fea.analysis.mode_samples import SampledModes, ring_sets
from fea.analysis.regeneration import regeneration
from fea.analysis.small_stack import PointStiffness, SmallStack, small_stack
from fea.analysis.stack_modes import MODES
from fea.case.schema import Case
from fea.measurement.bench import Bench
from fea.measurement.record import TapResult
from geometry.mesh import IntArray
from geometry.pad import FloatArray

CHOSEN = 16
"""Sets, drawn from what was expected, whose modes the small basis holds."""
NEAR = 0.3
"""Standard deviation, in ratio, by which a mode may be off its peak: a peak belongs to
the largest mode not much farther away than that."""
UNLIKE = -1e6
"""Likeness of modes in a set that is not in equilibrium."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Between:
    """What is between the pads in s sets, and which of them are in equilibrium.

    Parameters
    ----------
    points : (s, 3 p) stiffness [N/mm]
    held : (s,)
    """

    points: FloatArray
    held: FloatArray

    def rows(self, which: IntArray) -> "Between":
        """Return some of the sets, repeated as asked for."""
        return Between(points=self.points[which], held=self.held[which])


def basis(bench: Bench, between: Between, ground: FloatArray) -> SmallStack:
    """Return a small basis for sets like these. `ground` (s,) factors."""
    held = between.held
    sets = PointStiffness(springs=ground[held], points=between.points[held])
    chosen = np.linspace(0, len(sets.springs) - 1, CHOSEN).round().astype(int)
    return small_stack(
        bench.stack, bench.model, sets, chosen.tolist(), MODES, bench.rows
    )


def modes(
    bench: Bench,
    small: SmallStack,
    between: Between,
    ground: FloatArray,
    losses: Mapping[str, FloatArray],
) -> SampledModes:
    """Modes of every set, as many sets as `between` has; NaN in those that do not hold.

    Parameters
    ----------
    bench, small : the stack, and its basis
    between : joints, set by set
    ground : (s,) factors
    losses : (s,) by member
    """
    held = between.held
    found = ring_sets(
        bench.stack,
        bench.model,
        small,
        PointStiffness(springs=ground[held], points=between.points[held]),
        {name: each[held] for name, each in losses.items()},
    )
    return SampledModes(
        frequency_hz=_spread(found.frequency_hz, held),
        damping_ratio=_spread(found.damping_ratio, held),
        shapes=_spread(found.shapes, held),
        residual=_spread(found.residual, held),
        held=held,
    )


def tapped(bench: Bench, ring: SampledModes, taps: Sequence[TapResult]) -> FloatArray:
    """Frequency [Hz] and damping ratio of the mode that each peak is. (s, n, 2).

    Peaks of one test are modes of their own. Together they are those with the largest
    peaks of the receptance between where it was struck and where it was heard that are
    not far from the measured frequencies. A microphone hears what was struck.
    """
    found = np.empty((len(ring.frequency_hz), len(taps), 2))
    sets = np.arange(len(found))[:, None]
    for own in _tests(taps):
        modes = _assigned(
            np.stack([_likeness(bench, ring, taps[tap]) for tap in own], axis=1)
        )
        found[:, own, 0] = ring.frequency_hz[sets, modes]
        found[:, own, 1] = ring.damping_ratio[sets, modes]
    return found


def _tests(taps: Sequence[TapResult]) -> list[list[int]]:
    """Numbers of the peaks of each test."""
    tests: dict[object, list[int]] = {}
    for number, tap in enumerate(taps):
        tests.setdefault((tap.struck, tap.struck_along, tap.heard), []).append(number)
    return list(tests.values())


def _likeness(bench: Bench, ring: SampledModes, tap: TapResult) -> FloatArray:
    """Say how much each mode is like a peak. (s, m), the largest is the likeliest."""
    struck = bench.force_number((tap.struck, tap.struck_along))
    heard = struck
    if tap.heard is not None:
        heard = bench.force_number((tap.heard, tap.struck_along))
    omega = 2.0 * np.pi * ring.frequency_hz
    moved = np.abs(ring.shapes[:, :, struck] * ring.shapes[:, :, heard])
    peak = moved / (2.0 * ring.damping_ratio * omega**2)
    off = np.log(ring.frequency_hz / tap.frequency_hz) / NEAR
    score = np.log(np.maximum(peak, np.finfo(float).tiny)) - off**2 / 2.0
    return np.where(np.isnan(score), UNLIKE, score)


def _assigned(likeness: FloatArray) -> IntArray:
    """Give each peak a mode of its own, set by set. (s, n, m) to (s, n).

    Where there are more peaks than modes the rest take the likeliest again.
    """
    # Slow to import, and only needed here.
    from scipy.optimize import linear_sum_assignment

    modes = likeness.argmax(axis=2)
    for number, one in enumerate(likeness):
        peak, mode = linear_sum_assignment(one, maximize=True)
        modes[number, peak] = mode
    return np.asarray(modes)


def limits(
    case: Case,
    ring: SampledModes,
    sets: CutSets,
    feed_mm: float,
    speed_rpm: Sequence[float],
) -> FloatArray:
    """Depth at which each set begins to chatter at each speed. (s, n) [mm].

    Where nothing up to the deepest depth tried chatters it is that depth.
    """
    cut = case.cut.model_copy(update={"feed": feed_mm})
    again = regeneration(case.model_copy(update={"cut": cut}))
    found = sample_speed_limits(ring, sets, again, np.asarray(speed_rpm))
    return np.asarray(np.minimum(found, again.edge.depth_mm[-1]))


def _spread(values: FloatArray, held: FloatArray) -> FloatArray:
    whole = np.full((len(held), *values.shape[1:]), np.nan)
    whole[held] = values
    return whole
