"""The answer of a fit: what is now predicted, who is to blame, what to doubt."""

from dataclasses import dataclass

import numpy as np

from fea.analysis.member import Group, kind_name
from fea.measurement.case_sets import StackSets
from fea.measurement.identifiability import Identifiability
from fea.measurement.next_measurement import Gain
from fea.measurement.observation import Observation
from fea.measurement.refutation import Refutation
from geometry.pad import FloatArray

BAND = (0.05, 0.5, 0.95)
HALF = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordAnswer:
    """One observation beside what is predicted of it.

    Parameters
    ----------
    seen : the observation
    measured : number; of a grade or of chatter None
    predicted, calibrated : (3,) 5, 50 and 95 %, before and after the fit, in the unit
        that `fea.measurement.observation.UNITS` says
    residual : measured less calibrated, over its standard deviation; of a grade or of
        chatter None
    chance : of a grade, or of chatter or none, as observed, after the fit; else None
    """

    seen: Observation
    measured: float | None
    predicted: FloatArray
    calibrated: FloatArray
    residual: float | None
    chance: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """Something predicted, before and after the fit.

    Parameters
    ----------
    before, after : (3,) 5, 50 and 95 %; a limit may be infinite
    """

    before: FloatArray
    after: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Blame:
    """How likely a group gives more than half of the motion.

    Parameters
    ----------
    group : of members
    share : of the motion at the deepest depth
    chance_before, chance_after : that it is more than half
    """

    group: Group
    share: Change
    chance_before: float
    chance_after: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StackCalibration:
    """One stack before and after.

    Parameters
    ----------
    name : of the stack
    depth_mm : (k,) set depths
    deflection_um : (3, k, 3) 5, 50, 95 % of the tip's motion, before and after
    stiffness_n_per_um : along the cutting force at the deepest depth
    limit_mm, smallest_mm : of chatter, at the case's speed and over all
    shares : of the motion at the deepest depth, by member; numbered ones together
    blame : by group, from the cutting edge down
    """

    name: str
    depth_mm: FloatArray
    deflection_um: Change
    stiffness_n_per_um: Change
    limit_mm: Change
    smallest_mm: Change
    shares: dict[str, Change]
    blame: tuple[Blame, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FitAnswer:
    """All that a fit says.

    Parameters
    ----------
    records : observation by observation
    quick_change, four_way : the case's stacks
    stiffness_ratio : quick-change over four-way
    known : of the quick-change stack's members
    refutation : whether the model is to be doubted
    next : what to measure next, by question, best first
    damping_ratio : of the quick-change stack's lowest mode, None if it was not tapped
    warnings : what makes the numbers doubtful, one sentence each
    """

    records: tuple[RecordAnswer, ...]
    quick_change: StackCalibration
    four_way: StackCalibration
    stiffness_ratio: Change
    known: Identifiability
    refutation: Refutation
    next: tuple[Gain, ...]
    damping_ratio: float | None
    warnings: tuple[str, ...]


def change(before: FloatArray, after: FloatArray) -> Change:
    """Bands of sets (s, ...) before and after; those that are lost left out."""
    return Change(before=_band(before), after=_band(after))


def stack_calibration(before: StackSets, after: StackSets) -> StackCalibration:
    """Compare a stack's sets before and after."""
    old = _by_kind(before)
    return StackCalibration(
        name=after.name,
        depth_mm=after.depth_mm,
        deflection_um=change(before.deflection_um, after.deflection_um),
        stiffness_n_per_um=change(before.stiffness_n_per_um, after.stiffness_n_per_um),
        limit_mm=change(before.limit_mm, after.limit_mm),
        smallest_mm=change(before.smallest_mm, after.smallest_mm),
        shares={
            name: change(old[name], share) for name, share in _by_kind(after).items()
        },
        blame=_blame(before, after),
    )


def _by_kind(sets: StackSets) -> dict[str, FloatArray]:
    """Shares (s,) of members, numbered ones added up."""
    found: dict[str, FloatArray] = {}
    for name, share in sets.shares.items():
        kind = kind_name(name)
        found[kind] = found.get(kind, 0.0) + share
    return found


def _blame(before: StackSets, after: StackSets) -> tuple[Blame, ...]:
    found: list[Blame] = []
    for group in Group:
        old, new = before.group(group), after.group(group)
        found.append(
            Blame(
                group=group,
                share=change(old, new),
                chance_before=_over_half(old),
                chance_after=_over_half(new),
            )
        )
    return tuple(found)


def _over_half(share: FloatArray) -> float:
    return float(np.mean(share[~np.isnan(share)] > HALF))


def _band(sets: FloatArray) -> FloatArray:
    flat = sets.reshape(len(sets), -1)
    held = sets[~np.isnan(flat).any(axis=1)]
    # No interpolation: between a number and infinity there is none.
    return np.asarray(np.quantile(held, BAND, axis=0, method="nearest"))
