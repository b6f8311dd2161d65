"""Cuts and modal models on which the simulation in time is tried."""

import dataclasses

import numpy as np

from fea.core.modal_model import ModalModel
from fea.machining.cut import Cut
from fea.machining.edge_stiffness import turning_edge
from fea.machining.time_domain import Turning
from fea.machining.work_material import WorkMaterial, load_work_materials

STEEL = load_work_materials()["low_carbon_steel"]
SHARP = Cut(feed_mm=0.1, entering_angle_deg=90.0, nose_radius_mm=0.0, rake_deg=0.0)
ROUND = Cut(feed_mm=0.12, entering_angle_deg=75.0, nose_radius_mm=0.4, rake_deg=0.0)
TWO_MODES = ModalModel(
    frequency_hz=np.array([180.0, 260.0]),
    damping_ratio=np.array([0.03, 0.04]),
    shapes=np.array([[6.0, 4.0, -3.0], [-3.0, 7.0, 5.0]]),
    residual=np.array([[4.0, 1.0, 0.5], [1.0, 3.0, 0.2], [0.5, 0.2, 2.0]]) * 1e-6,
)


def proportional(stiffness_mpa: float) -> WorkMaterial:
    """Thrust and cutting force of `stiffness_mpa` times the chip's area."""
    thrust = dataclasses.replace(STEEL.thrust, ratio=1.0, thin_chip_exponent=0.0)
    return dataclasses.replace(STEEL, kc11_mpa=stiffness_mpa, mc=0.0, thrust=thrust)


def one_mode(
    stiffness: float, damping: float, frequency: float, tilt_deg: float = 0.0
) -> ModalModel:
    """A mode that moves at `tilt_deg` from the sharp edge's normal y, toward x."""
    size = 2.0 * np.pi * frequency / np.sqrt(stiffness)
    tilt = np.radians(tilt_deg)
    return ModalModel(
        frequency_hz=np.array([frequency]),
        damping_ratio=np.array([damping]),
        shapes=size * np.array([[np.sin(tilt), np.cos(tilt), 0.0]]),
        residual=np.zeros((3, 3)),
    )


def worst_speed(damping: float, frequency: float, waves: int) -> float:
    """Where lobe number `waves` is lowest. [rev/min]."""
    r = np.sqrt(1.0 + 2.0 * damping)
    phase = np.angle(1.0 / (1.0 - r**2 + 2j * damping * r))
    part = (3.0 * np.pi + 2.0 * phase) % (2.0 * np.pi) / (2.0 * np.pi)
    return float(60.0 * frequency * r / (waves + part))


def turning(model: ModalModel, stiffness_mpa: float, speed_rpm: float) -> Turning:
    return Turning(
        model=model,
        cut=SHARP,
        edge_at=turning_edge,
        material=proportional(stiffness_mpa),
        speed_rpm=speed_rpm,
        diameter_mm=50.0,
    )
