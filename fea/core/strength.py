"""How far a stress is from what its material bears."""

from math import inf

from fea.core.material import Material
from fea.core.thread import stress_area


def safety_factor(strength_mpa: float, stress: float) -> float:
    """Strength over stress, both [MPa]; infinite without stress. [-]."""
    return strength_mpa / stress if stress > 0.0 else inf


def screw_stress(tension: float, diameter: float) -> float:
    """Tension of a screw [N] over its stress area, nominal diameter [mm]. [MPa].

    The torque that tightens it adds shear, which is gone once the screw has settled.
    """
    return tension / stress_area(diameter)


def strength_note(material: Material) -> str:
    """Say what a safety factor of a part of a material is a factor against."""
    if material.brittle:
        return (
            f"{material.name} breaks rather than yields: von Mises stress against its "
            f"{material.yield_mpa:g} MPa is a guide for walls in tension and cautious "
            "for walls in compression; there is no yielding that evens out the peak in "
            "an inner corner, so round its corners"
        )
    strength = f"{material.yield_mpa:g} MPa ({material.name})"
    return f"von Mises stress against yield at {strength}"
