"""Invented blocky parts under a smooth displacement field."""

from collections.abc import Callable
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fea.analysis.result import PartField

FloatArray = NDArray[np.float64]
Keep = Callable[[FloatArray], NDArray[np.bool_]]

KUHN = np.array(
    [
        [0, 3, 1, 7],
        [0, 1, 5, 7],
        [0, 5, 4, 7],
        [0, 2, 3, 7],
        [0, 6, 2, 7],
        [0, 4, 6, 7],
    ]
)
"""Six tetrahedra of a cell whose corners count z fastest in (x, y, z) bits."""
CELL = 6.5
BASE_Z = -46.0


def everything(centres: FloatArray) -> NDArray[np.bool_]:
    return np.ones(len(centres), dtype=bool)


def without(*boxes: tuple[float, ...]) -> Keep:
    """Keep the cells whose centre is in none of the boxes (x0, x1, y0, y1, z0, z1)."""

    def keep(centres: FloatArray) -> NDArray[np.bool_]:
        inside = np.zeros(len(centres), dtype=bool)
        for box in boxes:
            low, high = np.array(box).reshape(3, 2).T
            inside |= ((centres > low) & (centres < high)).all(axis=1)
        return ~inside

    return keep


def ticks(low: float, high: float, stops: tuple[float, ...]) -> FloatArray:
    """Grid lines about a cell apart that meet every stop."""
    ends = sorted({low, high, *(s for s in stops if low < s < high)})
    pieces = [
        np.linspace(a, b, max(2, int((b - a) / CELL) + 2))[:-1]
        for a, b in pairwise(ends)
    ]
    return np.append(np.concatenate(pieces), high)


def blocky(
    name: str,
    box: tuple[float, ...],
    field: Callable[[FloatArray], FloatArray],
    holes: tuple[tuple[float, ...], ...] = (),
) -> PartField:
    """Tetrahedra of a box less some boxes, on a grid that meets all their faces."""
    stops = np.array(holes).reshape(-1, 3, 2) if holes else np.zeros((0, 3, 2))
    axes = [
        ticks(box[2 * k], box[2 * k + 1], tuple(stops[:, k].ravel())) for k in range(3)
    ]
    points = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    number = np.arange(len(points)).reshape([len(axis) for axis in axes])
    corner = np.stack(
        [
            number[
                i : number.shape[0] - 1 + i,
                j : number.shape[1] - 1 + j,
                k : number.shape[2] - 1 + k,
            ].ravel()
            for i in (0, 1)
            for j in (0, 1)
            for k in (0, 1)
        ],
        axis=1,
    )
    keep = without(*holes)(points[corner].mean(axis=1))
    tetrahedra = corner[keep][:, KUHN].reshape(-1, 4)
    used, renumbered = np.unique(tetrahedra, return_inverse=True)
    return PartField(
        name=name,
        points=points[used],
        tetrahedra=renumbered.reshape(-1, 4).astype(np.int64),
        displacement=field(points[used]),
        unknowns=3 * len(used),
        mass_kg=0.5,
    )


def leaning(softness: float) -> Callable[[FloatArray], FloatArray]:
    """Stack leans toward the headstock and off the work; the tool droops. [mm]."""

    def displacement(points: FloatArray) -> FloatArray:
        x, y, z = points.T
        height = np.maximum(z + 120.0, 0.0) / 120.0
        droop = np.maximum(35.0 - x, 0.0) ** 2 * np.exp(-np.maximum(y, 0.0) / 20.0)
        u = 0.006 * height**1.5
        v = 0.004 * height
        w = -0.010 * (70.0 - x) / 70.0 * height - 7e-6 * droop
        return softness * np.stack([u, v, w], axis=1)

    return displacement


def slides(field: Callable[[FloatArray], FloatArray]) -> tuple[PartField, ...]:
    top = (20.0, 110.0, 15.0, 205.0, -72.0, BASE_Z)
    way = (45.0, 85.0, 15.0, 190.0, -72.0, -62.0)
    low = (5.0, 125.0, 35.0, 235.0, -112.0, -62.0)
    sides = (
        (5.0, 45.0, 35.0, 235.0, -72.0, -62.0),
        (85.0, 125.0, 35.0, 235.0, -72.0, -62.0),
    )
    return (
        blocky("top slide", top, field, (way,)),
        blocky("lower slide", low, field, sides),
    )


def quick_change_fields(softness: float) -> tuple[PartField, ...]:
    field = leaning(softness)
    slot = (25.0, 95.0, 0.0, 12.0, -12.0, 1.0)
    dovetail = (45.0, 75.0, 28.0, 38.0, -32.0, 14.0)
    beside = tuple(
        (x0, x1, 28.0, 38.0, BASE_Z, 18.0) for x0, x1 in ((30.0, 45.0), (75.0, 100.0))
    )
    recess = (63.0, 75.0, 28.0, 38.0, BASE_Z, 18.0)
    return (
        blocky("tool bit", (0.0, 90.0, 0.0, 12.0, -12.0, 0.0), field),
        blocky("holder", (25, 95, 0, 38, -32, 14), field, (slot, dovetail)),
        blocky("post body", (30, 100, 28, 108, BASE_Z, 18), field, (*beside, recess)),
        blocky("moving flank", (63, 75, 28, 38, BASE_Z, 18), field),
        *slides(field),
    )


def four_way_fields(softness: float) -> tuple[PartField, ...]:
    field = leaning(softness)
    slots = (
        (20.0, 110.0, -4.0, 14.0, -12.0, 6.0),
        (20.0, 110.0, 68.0, 86.0, -12.0, 6.0),
        (20.0, 38.0, -4.0, 86.0, -12.0, 6.0),
        (92.0, 110.0, -4.0, 86.0, -12.0, 6.0),
    )
    return (
        blocky("tool bit", (0.0, 90.0, 0.0, 12.0, -12.0, 0.0), field),
        blocky("four-way block", (20, 110, -4, 86, BASE_Z, 22), field, slots),
        *slides(field),
    )
