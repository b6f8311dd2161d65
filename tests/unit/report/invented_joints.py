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

STRESSES = (
    StressPeak(
        part="holder",
        feature="slot root",
        von_mises_mpa=210.0,
        yield_mpa=530.0,
        material="invented steel",
        mesh_limited=True,
    ),
    StressPeak(
        part="stud",
        feature="thread",
        von_mises_mpa=180.0,
        yield_mpa=640.0,
        material="invented steel",
        mesh_limited=False,
    ),
)


def make_joint(name: str) -> JointResult:
    """A joint that slips from 1 mm and is open at one end under the cut."""
    along, across = np.linspace(-30.0, 30.0, 9), np.linspace(-10.0, 10.0, 9)
    clamped = PressureMap(
        along_mm=along, across_mm=across, pressure_mpa=np.full((9, 9), 4.0)
    )
    tipped = np.maximum(4.0 + 0.2 * along, 0.0)[:, None] * np.ones(9)
    loaded = PressureMap(along_mm=along, across_mm=across, pressure_mpa=tipped)
    return JointResult(
        name=name,
        clamped_force_n=4800.0,
        loaded_force_n=5100.0,
        slip_use=0.4,
        slipping=0.05,
        open_clamped=0.0,
        open_loaded=0.17,
        slips_at_mm=1.0,
        lifts_at_mm=None,
        clamped=clamped,
        loaded=loaded,
    )


def make_bands(
    depths: FloatArray,
    compliance: FloatArray,
    deflection: FloatArray,
    shares: tuple[Share, ...],
) -> Bands:
    """Two thirds to one and a half of everything."""
    ends = np.array([2.0 / 3.0, 1.5])
    chosen = [0, len(depths) - 1]
    return Bands(
        samples=64,
        depth_mm=depths[chosen],
        deflection_um=ends[:, None, None] * deflection[chosen],
        diameter_error_um=2.0 * ends[:, None] * deflection[chosen, 0],
        compliance_um_per_n=ends[:, None, None] * compliance,
        stiffness_n_per_um=np.array([20.0, 45.0]),
        shares={s.name: (0.5 * s.fraction, 1.5 * s.fraction) for s in shares},
        lost=0.0,
    )
