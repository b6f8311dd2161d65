"""Where a part's stress is highest, by feature, and what of it the mesh has settled."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from fea.core.plan import PartPlan
from fea.core.stress import StressField
from geometry.feature import Notch, Zone
from geometry.mesh_size import root_size
from geometry.pad import FloatArray, Pad, Vector, as_vector

# Distance from an inner corner at which its stress is read. Near enough to be the
# corner's: a fifth of a usual dovetail's depth. Far enough for the mesh: on holder,
# body and block of a lathe of 150 mm centre height readings at 1 mm still change by
# 20 % as the mesh is refined threefold, those at 2 mm by 5 %. [mm]
READING_MM = 2.0

# Never less than about one element at the corner.
ROOT_ELEMENTS = 1.2

# What a corner has up to this many reading distances belongs to the corner.
CORNER_REACH = 2.0

# Under a patch its pressure fades: a third is left twice as deep as half its side.
PATCH_DEPTH, PATCH_MARGIN = 2.0, 1.5

# Points of the mesh on a corner are off it by rounding. [mm]
ON_EDGE_MM = 1e-6

ELSEWHERE = "elsewhere"

SIDES = np.array([(0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3)])


class Limit(StrEnum):
    """What sets a stress, if not the part."""

    NONE = "settled"
    MESH = "mesh-limited"
    PATCH = "set by the size of the patch"


@dataclass(frozen=True, slots=True, kw_only=True)
class HotSpot:
    """Highest stress of a feature.

    Parameters
    ----------
    feature : inner corner, bore, lip, patch ("at screw 1") or "elsewhere"
    von_mises : [MPa]
    spread : how far the elements there differ from it [MPa]
    at : (3,) [mm], in the part's frame
    limit : whether the number is the part's, or made by mesh or patch
    distance : from the sharp corner at which it is read, None away from corners [mm]
    """

    feature: str
    von_mises: float
    spread: float
    at: Vector
    limit: Limit
    distance: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Samples:
    """Stress at points or between them. (n,), (n,), (n, 3), (n,) notch numbers."""

    von_mises: FloatArray
    spread: FloatArray
    points: FloatArray
    notch: NDArray[np.int64]

    def peak(self, among: NDArray[np.bool_]) -> tuple[float, float, Vector]:
        """Highest stress, its spread and its place. `among` (n,), not empty."""
        at = np.flatnonzero(among)[np.argmax(self.von_mises[among])]
        point = as_vector(self.points[at])
        return float(self.von_mises[at]), float(self.spread[at]), point


def hot_spots(plan: PartPlan, field: StressField, size: float) -> tuple[HotSpot, ...]:
    """Return the highest stress of every feature of a part.

    An inner corner has two: the mesh-limited one at the edge and the reading beside
    it. All other features leave out what is near a corner.

    Parameters
    ----------
    plan : the part
    field : its stress
    size : mesh size that the field was found with [mm]
    """
    reading = reading_distance(plan, size)
    notches = plan.shape.notches()
    away, nearest = _nearest(notches, field.points)
    at_points = _Samples(
        von_mises=field.von_mises,
        spread=field.spread,
        points=field.points,
        notch=nearest,
    )
    found = _at_corners(notches, at_points, away < reading)
    crossing = _crossing(field, at_points, away, reading)
    beside = (away >= reading) & (away <= CORNER_REACH * reading)
    found += _beside_corners(notches, (crossing, at_points), beside, reading)
    free = away > CORNER_REACH * reading
    found += _in_zones(plan, at_points, free)
    return tuple(found)


def reading_distance(plan: PartPlan, size: float) -> float:
    """Distance from an inner corner at which its stress is read. [mm]."""
    element = root_size(size, plan.refined) * plan.shape.size_factor
    return max(READING_MM, ROOT_ELEMENTS * element)


def _nearest(
    notches: Sequence[Notch], points: FloatArray
) -> tuple[FloatArray, NDArray[np.int64]]:
    """Distance of points from the nearest notch, and its number. (n,), (n,)."""
    if not notches:
        return np.full(len(points), np.inf), np.zeros(len(points), dtype=np.int64)
    distances = np.array([notch.distance(points) for notch in notches])
    return distances.min(axis=0), distances.argmin(axis=0)


def _crossing(
    field: StressField, samples: _Samples, away: FloatArray, reading: float
) -> _Samples:
    """Stress where edges of the mesh cross the reading distance.

    Along an edge the stress is taken as a power of the distance, as it is beside a
    corner; edges that begin at the corner itself are left out.
    """
    edges = field.tetrahedra[:, SIDES].reshape(-1, 2)
    edges = np.where(
        (away[edges[:, 0]] > away[edges[:, 1]])[:, None], edges[:, ::-1], edges
    )
    near, far = away[edges].T
    edges = edges[(near > ON_EDGE_MM) & (near < reading) & (far >= reading)]
    inner, outer = edges.T
    near, far = away[edges].T
    share = np.log(reading / near) / np.log(far / near)
    stress = field.von_mises[inner] ** (1.0 - share) * field.von_mises[outer] ** share
    place = (reading - near) / (far - near)
    between = field.points[outer] - field.points[inner]
    return _Samples(
        von_mises=stress,
        spread=np.maximum(field.spread[inner], field.spread[outer]),
        points=field.points[inner] + place[:, None] * between,
        notch=samples.notch[inner],
    )


def _at_corners(
    notches: Sequence[Notch], samples: _Samples, near: NDArray[np.bool_]
) -> list[HotSpot]:
    spots = []
    for name, numbers in _by_name(notches).items():
        among = near & np.isin(samples.notch, numbers)
        stress, spread, at = samples.peak(among)
        spots.append(
            HotSpot(
                feature=name, von_mises=stress, spread=spread, at=at, limit=Limit.MESH
            )
        )
    return spots


def _beside_corners(
    notches: Sequence[Notch],
    samples: tuple[_Samples, _Samples],
    beside: NDArray[np.bool_],
    reading: float,
) -> list[HotSpot]:
    """Return readings: the highest at the distance, or beyond it if that is more."""
    crossing, at_points = samples
    spots = []
    for name, numbers in _by_name(notches).items():
        peaks = [
            part.peak(among)
            for part, among in (
                (crossing, np.isin(crossing.notch, numbers)),
                (at_points, beside & np.isin(at_points.notch, numbers)),
            )
            if among.any()
        ]
        if not peaks:
            continue
        stress, spread, at = max(peaks)
        spots.append(
            HotSpot(
                feature=name,
                von_mises=stress,
                spread=spread,
                at=at,
                limit=Limit.NONE,
                distance=reading,
            )
        )
    return spots


def _in_zones(
    plan: PartPlan, samples: _Samples, free: NDArray[np.bool_]
) -> list[HotSpot]:
    """Patches first, then the part's zones, then what is left."""
    regions = [
        (f"at {patch.name}", _under(patch, samples.points), Limit.PATCH)
        for patch in plan.own(plan.patches)
    ]
    zones: tuple[Zone, ...] = plan.shape.zones()
    regions += [(z.name, z.contains(samples.points), Limit.NONE) for z in zones]
    regions.append((ELSEWHERE, np.ones(len(free), dtype=bool), Limit.NONE))
    spots = []
    for name, inside, limit in regions:
        among = free & inside
        free = free & ~inside
        if among.any():
            stress, spread, at = samples.peak(among)
            spots.append(
                HotSpot(
                    feature=name, von_mises=stress, spread=spread, at=at, limit=limit
                )
            )
    return spots


def _under(patch: Pad, points: FloatArray) -> NDArray[np.bool_]:
    """Which points are so near a patch that its even pressure sets the stress."""
    first, second, off = np.abs(patch.local(points)).T
    a, b = patch.half_sizes
    inside = (first <= PATCH_MARGIN * a) & (second <= PATCH_MARGIN * b)
    return np.asarray(inside & (off <= PATCH_DEPTH * min(a, b)))


def _by_name(notches: Sequence[Notch]) -> dict[str, list[int]]:
    numbers: dict[str, list[int]] = {}
    for number, notch in enumerate(notches):
        numbers.setdefault(notch.name, []).append(number)
    return numbers
