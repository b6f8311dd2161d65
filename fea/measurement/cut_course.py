"""Cuts: how far the tool gives way at any depth, and what it then leaves standing."""

from dataclasses import dataclass

import numpy as np

from fea.analysis.cut import force_at
from fea.analysis.fitted import EXPECTED
from fea.analysis.held_work import CHUCK_DAMPING, CHUCK_STIFFNESS, work_sets
from fea.case.schema import Case
from fea.core.contact_samples import SampledStack
from fea.core.contact_sets import SampledState
from geometry.pad import FloatArray
from geometry.units import UM_PER_MM

GRID = (0.15, 0.4, 0.7, 1.0)
"""Depths that are followed, over the deepest: between them slip grows evenly."""
FINE = 160
"""Depths at which the balance of setting and motion is looked at."""
DEEPER = 1.3
"""A tool that is drawn in cuts up to this much more than was set."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CutCourse:
    """Cuts of one feed, as deep as any of them.

    Parameters
    ----------
    depth_mm : (k,) really cut, rising
    force_n : (k, 3) there
    fine_mm, fine_force_n : (m,), (m, 3) from no cut at all to the deepest
    """

    depth_mm: FloatArray
    force_n: FloatArray
    fine_mm: FloatArray
    fine_force_n: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class CutMotion:
    """Motion at the fine depths of a course, set by set.

    Parameters
    ----------
    depth_mm : (m,) really cut
    tip_mm : (s, m, 3) of the tool's tip
    apart_mm : (s, m) radial, of tool and work together
    """

    depth_mm: FloatArray
    tip_mm: FloatArray
    apart_mm: FloatArray


def cut_course(case: Case, feed_mm: float, deepest_mm: float) -> CutCourse:
    """Return the course of cuts with a feed up to a depth that is set."""
    cut = case.cut.model_copy(update={"feed": feed_mm})
    own = case.model_copy(update={"cut": cut})
    depths = DEEPER * deepest_mm * np.array(GRID)
    fine = np.linspace(0.0, depths[-1], FINE)
    return CutCourse(
        depth_mm=depths,
        force_n=np.array([force_at(own, float(depth)) for depth in depths]),
        fine_mm=fine,
        fine_force_n=np.array([force_at(own, float(depth)) for depth in fine]),
    )


def harder(force: FloatArray, tangential: FloatArray, thrust: FloatArray) -> FloatArray:
    """Scale forces (n, 3) [N] by factors (s,) of the material. (s, n, 3)."""
    factors = np.stack([thrust, thrust, tangential], axis=-1)
    return np.asarray(force[None] * factors[:, None])


def followed(
    forces: FloatArray, sampled: SampledStack, clamped: SampledState
) -> tuple[FloatArray, list[SampledState]]:
    """Tip's motion (s, k, 3) [mm] through forces (s, k, 3) [N], and the states."""
    count = sampled.model.interface.forces
    rest = sampled.tip_motion(clamped, np.zeros(count))[:, :3]
    steps = np.linalg.norm(np.diff(forces, axis=1, prepend=0.0), axis=2)
    states, found = [clamped], []
    for number in range(forces.shape[1]):
        force = np.zeros((len(forces), count))
        force[:, :3] = forces[:, number]
        guess = None
        if number > 0:
            # As far for each newton as the step before has come.
            ratio = steps[:, number] / steps[:, number - 1]
            come = states[-1].unknowns - states[-2].unknowns
            guess = states[-1].unknowns + ratio[:, None] * come
        states.append(sampled.load(states[-1], force, guess))
        motion = sampled.tip_motion(states[-1], force)[:, :3] - rest
        found.append(np.where(states[-1].held[:, None], motion, np.nan))
    return np.stack(found, axis=1), states[1:]


def cut_motion(
    course: CutCourse,
    motion: FloatArray,
    compliance: FloatArray,
    factors: tuple[FloatArray, FloatArray],
    work: FloatArray,
) -> CutMotion:
    """Motion at every fine depth.

    What goes beyond small motions about the clamped state grows evenly between the
    depths that were followed.

    Parameters
    ----------
    course : of the cuts
    motion : (s, k, 3) at its depths [mm]
    compliance : (s, 3, 3) of the tip for small forces [mm/N]
    factors : (s,) on tangential force and on thrust
    work : (s, 3, 3) compliance of the work [mm/N]
    """
    at_grid = harder(course.force_n, *factors)
    force = harder(course.fine_force_n, *factors)
    beyond = motion - np.einsum("sij,skj->ski", compliance, at_grid)
    grid = np.concatenate([[0.0], course.depth_mm])
    padded = np.concatenate([np.zeros_like(beyond[:, :1]), beyond], axis=1)
    tip = np.einsum("sij,smj->smi", compliance, force)
    tip += _between(course.fine_mm, grid, padded)
    apart = tip[:, :, 0] + np.einsum("sj,smj->sm", work[:, 0], force)
    return CutMotion(depth_mm=course.fine_mm, tip_mm=tip, apart_mm=apart)


def _between(at: FloatArray, grid: FloatArray, values: FloatArray) -> FloatArray:
    """Values (s, k, 3) on a grid (k,), straight between. (s, m, 3)."""
    right = np.clip(np.searchsorted(grid, at), 1, len(grid) - 1)
    share = (at - grid[right - 1]) / (grid[right] - grid[right - 1])
    low, high = values[:, right - 1], values[:, right]
    return np.asarray(low + share[None, :, None] * (high - low))


def depth_cut(motion: CutMotion, set_mm: FloatArray) -> FloatArray:
    """Depth at which setting and motion agree. (s,) [mm] to (s,); at most the finest's.

    The first such depth, as `fea.machining.deflection` takes it.
    """
    reached = motion.depth_mm[None] + motion.apart_mm
    beyond = reached >= set_mm[:, None]
    first = np.where(
        beyond.any(axis=1), beyond.argmax(axis=1), len(motion.depth_mm) - 1
    )
    right = np.clip(first, 1, None)
    sets = np.arange(len(reached))
    low, high = reached[sets, right - 1], reached[sets, right]
    share = np.clip((set_mm - low) / np.where(high > low, high - low, 1.0), 0.0, 1.0)
    step = motion.depth_mm[right] - motion.depth_mm[right - 1]
    return np.asarray(motion.depth_mm[right - 1] + share * step)


def tip_at(motion: CutMotion, depth_mm: FloatArray) -> FloatArray:
    """Motion of the tip at depths really cut. (s,) [mm] to (s, 3) [um]."""
    step = motion.depth_mm[1] - motion.depth_mm[0]
    place = depth_mm / step
    left = np.clip(place.astype(int), 0, len(motion.depth_mm) - 2)
    share = (place - left)[:, None]
    sets = np.arange(len(depth_mm))
    low, high = motion.tip_mm[sets, left], motion.tip_mm[sets, left + 1]
    return np.asarray((low + share * (high - low)) * UM_PER_MM)


def left_standing(motion: CutMotion, set_mm: float, passes: int) -> FloatArray:
    """How much the diameter is too large after so many passes at a setting. (s,) [um].

    Each pass is set to cut what the one before has left; a tool that was drawn in and
    took too much cuts no more.
    """
    left = np.full(len(motion.apart_mm), set_mm)
    for _ in range(passes):
        cut = depth_cut(motion, np.maximum(left, 0.0))
        left = np.where(left > 0.0, left - cut, left)
    return np.asarray(2.0 * left * UM_PER_MM)


def work_compliance(case: Case, quantile: FloatArray) -> FloatArray:
    """Find the held bar's static compliance at quantiles of its holding. (s, 3, 3)."""
    lossy = np.full(len(quantile), EXPECTED)
    held = work_sets(case, {CHUCK_STIFFNESS: quantile, CHUCK_DAMPING: lossy})
    return np.array([each.static_compliance for each in held])
