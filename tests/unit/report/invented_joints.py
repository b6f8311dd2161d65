"""Invented results of joints, stresses and samples."""

import numpy as np

from fea.analysis.result import (
    Bands,
    JointResult,
    PressureMap,
    Share,
    StressPeak,
)
from geometry.pad import FloatArray

DEPTHS = np.array([0.1, 0.25, 0.5, 1.0, 1.5, 2.0])
UP = np.array([0.0, 0.0, 1.0])
RIGHT = np.array([1.0, 0.0, 0.0])


def make_peak(
    part: str, feature: str, stress: float, *, edge: bool, spread: float = 0.05
) -> StressPeak:
    return StressPeak(
        part=part,
        feature=feature,
        von_mises_mpa=stress,
        spread_mpa=spread * stress,
        distance_mm=None if edge else 2.0,
        yield_mpa=530.0,
        material="invented steel: invented list",
        mesh_limited=edge,
    )


STRESSES = (
    make_peak("holder", "slot root", 800.0, edge=True),
    make_peak("holder", "slot root", 265.0, edge=False),
    make_peak("stud", "thread", 180.0, edge=False),
)


def make_map(pressure_mpa: FloatArray, half: tuple[float, float]) -> PressureMap:
    along, across = (
        np.linspace(-size, size, n)
        for size, n in zip(half, pressure_mpa.shape, strict=True)
    )
    return PressureMap(along_mm=along, across_mm=across, pressure_mpa=pressure_mpa)


def make_joint(
    name: str,
    slips_at_mm: float | None = None,
    lifts_at_mm: float | None = None,
    half: tuple[float, float] = (6.0, 30.0),
) -> JointResult:
    """A joint that is open at one end under the cut, with a window if it is square."""
    clamped = np.full((9, 9), 4.0)
    tipped = np.maximum(clamped + np.linspace(-6.0, 6.0, 9), 0.0)
    if half[0] == half[1]:
        for pressure in (clamped, tipped):
            pressure[3:6, 3:6] = np.nan
    return JointResult(
        name=name,
        clamped_force_n=4800.0,
        loaded_force_n=5100.0,
        slip_use=0.4,
        slipping=0.05,
        open_clamped=0.0,
        open_loaded=0.17,
        slips_at_mm=slips_at_mm,
        lifts_at_mm=lifts_at_mm,
        sides=np.array([RIGHT, UP]),
        clamped=make_map(clamped, half),
        loaded=make_map(tipped, half),
    )


QUICK_CHANGE_JOINTS = (
    make_joint("way near work", slips_at_mm=0.1, lifts_at_mm=0.25, half=(10.0, 55.0)),
    make_joint("tool floor", slips_at_mm=1.5, half=(35.0, 6.0)),
    make_joint("fixed flank", slips_at_mm=0.5, half=(5.0, 19.0)),
    make_joint("land far", lifts_at_mm=1.0, half=(10.0, 19.0)),
    make_joint("base", half=(35.0, 35.0)),
    make_joint("gib", slips_at_mm=0.1, half=(5.0, 55.0)),
)
FOUR_WAY_JOINTS = (
    make_joint("tool floor", half=(40.0, 6.0)),
    make_joint("way near work", slips_at_mm=0.1, half=(10.0, 55.0)),
    make_joint("base", half=(40.0, 40.0)),
)


def make_bands(
    depths: FloatArray,
    compliance: FloatArray,
    deflection: FloatArray,
    shares: tuple[Share, ...],
    stiffness: float,
) -> Bands:
    """Two thirds to one and a half of every motion."""
    ends = np.array([2.0 / 3.0, 1.5])
    chosen = [0, len(depths) // 2, len(depths) - 1]
    return Bands(
        samples=64,
        depth_mm=depths[chosen],
        deflection_um=ends[:, None, None] * deflection[chosen],
        diameter_error_um=2.0 * ends[:, None] * deflection[chosen, 0],
        compliance_um_per_n=ends[:, None, None] * compliance,
        stiffness_n_per_um=ends * stiffness,
        shares={s.name: (0.5 * s.fraction, 1.5 * s.fraction) for s in shares},
        lost=0.0,
    )
