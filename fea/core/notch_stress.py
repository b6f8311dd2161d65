"""Stress in an inner corner: what a mesh can say of it, and what a fillet makes of it.

At a sharp corner the elastic stress has no bound: it falls with distance r as
r^-(1 - lambda), and a mesh gives there what its elements are small enough for. At a
stated distance it converges, and from that reading follows the peak in a rounded one.
"""

from functools import cache
from math import pi, radians, sin

from scipy.optimize import brentq

# A fillet of radius rho has its peak as high as the stress at rho / 8 from the sharp
# corner. For a crack that is exact (Creager and Paris, Int. J. Fract. Mech. 3 (1967)
# 247, from memory: 2 K / root(pi rho)); for grooves of 60 and 90 degrees, solved finely
# with fillets of a twelfth to a third of their depth, it holds within 10 %, on the safe
# side.
FILLET_SHARE = 8.0

# Bounds of the exponent: a crack has 1/2, a flat face 1.
CRACK, FLAT = 0.5, 1.0


@cache
def notch_exponent(opening_deg: float) -> float:
    """Exponent lambda of the displacement r^lambda in a corner that is pulled open.

    The smallest root of sin(lambda omega) + lambda sin(omega) = 0 with the angle omega
    of the material (Williams, J. Appl. Mech. 19 (1952) 526). [-].
    """
    omega = 2.0 * pi - radians(opening_deg)

    def condition(exponent: float) -> float:
        return sin(exponent * omega) + exponent * sin(omega)

    return float(brentq(condition, CRACK, FLAT))


def rounded_peak(
    reading: float, distance: float, opening_deg: float, radius: float
) -> float:
    """Peak stress in a rounded corner, from a reading beside the sharp one. [MPa].

    Parameters
    ----------
    reading : stress [MPa] at `distance` [mm] from the sharp corner
    opening_deg : angle of the void
    radius : of the fillet, small against the wall [mm]

    Notes
    -----
    sigma (8 d / rho)^(1 - lambda), as if all of the reading were the corner's own.
    Where pressure on the faces beside it adds to the reading the true peak is lower: at
    the root of a dovetail by a fifth to two fifths, at that of a slot by less than a
    tenth. Not below the reading: a fillet wider than eight distances is not small.
    """
    slope = 1.0 - notch_exponent(opening_deg)
    return float(reading * max(1.0, FILLET_SHARE * distance / radius) ** slope)
