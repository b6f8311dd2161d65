"""From the torque on a screw to the force along it, and back."""

from dataclasses import dataclass
from math import cos, pi, radians

from fea.core.lubrication import Friction
from fea.core.thread import (
    HALF_ANGLE_DEG,
    coarse_pitch,
    nut_bearing_diameter,
    pitch_diameter,
    point_bearing_diameter,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """A thread, and the ring that rubs as it is turned.

    Parameters
    ----------
    diameter : nominal [mm]
    lead : advance in a turn [mm]
    thread_diameter : mean, where the thread's friction acts [mm]
    bearing_diameter : mean, of nut, head, point or collar; 0 if nothing rubs [mm]
    half_angle_deg : by which the flanks lean from square to the axis
    """

    diameter: float
    lead: float
    thread_diameter: float
    bearing_diameter: float
    half_angle_deg: float


def nut_screw(diameter: float) -> Screw:
    """Return a coarse metric screw that turns under a hexagon nut or head. [mm]."""
    return _metric(diameter, nut_bearing_diameter(diameter))


def point_screw(diameter: float) -> Screw:
    """Return a coarse metric set screw that turns on its flat point. [mm]."""
    return _metric(diameter, point_bearing_diameter(diameter))


def _metric(diameter: float, bearing_diameter: float) -> Screw:
    return Screw(
        diameter=diameter,
        lead=coarse_pitch(diameter),
        thread_diameter=pitch_diameter(diameter),
        bearing_diameter=bearing_diameter,
        half_angle_deg=HALF_ANGLE_DEG,
    )


def torque_by_coefficient(
    force: float, diameter: float, torque_coefficient: float
) -> float:
    """Torque that pulls a screw to a force [N], T = K F d. [N mm]."""
    return torque_coefficient * force * diameter


def force_by_coefficient(
    torque: float, diameter: float, torque_coefficient: float
) -> float:
    """Force that a torque [N mm] pulls a screw to, F = T / (K d). [N]."""
    return torque / (torque_coefficient * diameter)


def tightening_torque(screw: Screw, force: float, friction: Friction) -> float:
    """Torque that tightens a fastening screw to a force [N]. [N mm].

    Notes
    -----
    T = F (p / 2 pi + mu_t d2 / (2 cos 30) + mu_b D_km / 2), Motosh, VDI 2230-1. It is
    `raising_torque` for a small angle of lead.
    """
    return force * _tightening_arm(screw, friction)


def tightened_force(screw: Screw, torque: float, friction: Friction) -> float:
    """Force along a fastening screw that a torque [N mm] tightens it to. [N]."""
    return torque / _tightening_arm(screw, friction)


def torque_coefficient(screw: Screw, friction: Friction) -> float:
    """K of T = K F d, as the full thread formula gives it. [-]."""
    return _tightening_arm(screw, friction) / screw.diameter


def _tightening_arm(screw: Screw, friction: Friction) -> float:
    lean = cos(radians(screw.half_angle_deg))
    pitch = screw.lead / (2.0 * pi)
    thread = friction.thread * screw.thread_diameter / (2.0 * lean)
    return pitch + thread + friction.bearing * screw.bearing_diameter / 2.0


def raising_torque(screw: Screw, force: float, friction: Friction) -> float:
    """Torque that drives a power screw against a force [N], with its collar. [N mm].

    Notes
    -----
    T_R = F d/2 (l + pi f d sec a) / (pi d - f l sec a) + F f_c d_c / 2, Shigley,
    Mechanical Engineering Design, equations 8-1 to 8-6.
    """
    return force * _raising_arm(screw, friction)


def raised_force(screw: Screw, torque: float, friction: Friction) -> float:
    """Force along a power screw that a torque [N mm] drives it against. [N]."""
    return torque / _raising_arm(screw, friction)


def lowering_torque(screw: Screw, force: float, friction: Friction) -> float:
    """Torque that undoes a power screw under a force [N], with its collar. [N mm].

    Negative where the force turns the screw back by itself.

    Notes
    -----
    T_L = F d/2 (pi f d sec a - l) / (pi d + f l sec a) + F f_c d_c / 2, as
    `raising_torque`.
    """
    return force * (_undoing_arm(screw, friction) + _collar_arm(screw, friction))


def is_self_holding(screw: Screw, friction: Friction) -> bool:
    """Whether the thread alone keeps a force from turning the screw back."""
    return _undoing_arm(screw, friction) >= 0.0


def _raising_arm(screw: Screw, friction: Friction) -> float:
    d, f = screw.thread_diameter, _along_flank(screw, friction)
    thread = d / 2.0 * (screw.lead + pi * f * d) / (pi * d - f * screw.lead)
    return thread + _collar_arm(screw, friction)


def _undoing_arm(screw: Screw, friction: Friction) -> float:
    """Torque that undoes the thread alone, for a unit force. [mm]."""
    d, f = screw.thread_diameter, _along_flank(screw, friction)
    return d / 2.0 * (pi * f * d - screw.lead) / (pi * d + f * screw.lead)


def _along_flank(screw: Screw, friction: Friction) -> float:
    """Friction of the thread as a share of the force along the screw. [-]."""
    return friction.thread / cos(radians(screw.half_angle_deg))


def _collar_arm(screw: Screw, friction: Friction) -> float:
    return friction.bearing * screw.bearing_diameter / 2.0
