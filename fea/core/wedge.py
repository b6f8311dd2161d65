"""A wedge driven between two faces, with friction on both."""

from math import atan, radians, sin, tan


def spread_from_push(push: float, angle_deg: float, friction: float) -> float:
    """Force with which a wedge that is pushed in drives its faces apart. [N].

    Parameters
    ----------
    push : along the wedge [N]
    angle_deg : of the wedge, between its faces
    friction : Coulomb's coefficient of both faces

    Notes
    -----
    Q = P / (tan(alpha + phi) + tan phi): one face lies along the push, the other leans
    by alpha, and each face's force leans by phi = atan(mu) against the motion.
    """
    return push / (tan(radians(angle_deg) + _friction_angle(friction)) + friction)


def pull_to_loosen(spread: float, angle_deg: float, friction: float) -> float:
    """Pull that draws a wedge out from under a spreading force. [N].

    Negative where the wedge slides out by itself: then it takes that push to keep it.

    Notes
    -----
    P = Q (tan(phi - alpha) + tan phi): as `spread_from_push`, motion reversed.
    """
    return spread * (tan(_friction_angle(friction) - radians(angle_deg)) + friction)


def is_self_holding(angle_deg: float, friction: float) -> bool:
    """Whether a wedge stays in with nothing pushing it, alpha <= 2 phi."""
    return radians(angle_deg) <= 2.0 * _friction_angle(friction)


def flank_force(spread: float, flank_angle_deg: float) -> float:
    """Return the normal force on a dovetail's flank that a wedge drives out. [N].

    N = Q / sin(angle) for a spreading force Q [N] along the dovetail's width. The
    flank's own friction is left out: as the holder settles it slides both ways.
    """
    return spread / sin(radians(flank_angle_deg))


def _friction_angle(friction: float) -> float:
    return atan(friction)
