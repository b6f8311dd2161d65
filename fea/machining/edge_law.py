"""Force on a millimetre of edge, as a law of the chip's thickness there."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from fea.machining.cut import Cut
from fea.machining.work_material import WorkMaterial
from geometry.errors import InputError
from geometry.pad import FloatArray

_TABLE = Path(__file__).with_name("chip_thickness.toml")
THRUST_REFERENCE_THICKNESS_MM = 0.2
"""Thickness at which a material's thrust ratio is given."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ThicknessRange:
    """Chips for which the power law was measured. [mm]."""

    least_mm: float
    greatest_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeLaw:
    """Force = scale thickness^power on each millimetre of edge.

    Parameters
    ----------
    scale : force on 1 mm of edge that cuts a chip 1 mm thick [N/mm^(1 + power)]
    power : of the thickness, 0 to 1
    """

    scale: float
    power: float

    def force(self, thickness_mm: FloatArray) -> FloatArray:
        """Force in a steady cut. [N/mm]."""
        return np.asarray(self.scale * thickness_mm**self.power)

    def slope(self, thickness_mm: FloatArray) -> FloatArray:
        """Growth of the force with the thickness, as waves feel it. [N/mm²].

        Notes
        -----
        Below the least thickness h0 of the law, the force is
        scale h0^p (1 + p l + (p - 1) l²), with what the chip lacks, l = h/h0 - 1: none
        without a chip, and value and slope of the power law at h0.
        """
        least, p = thickness_range().least_mm, self.power
        felt = np.maximum(thickness_mm, least)
        lack = np.minimum(thickness_mm / least - 1.0, 0.0)
        bent = 2.0 * (p - 1.0) * lack * least ** (p - 1.0)
        return np.asarray(self.scale * (p * felt ** (p - 1.0) + bent))


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeLaws:
    """Both parts of the force.

    Parameters
    ----------
    thrust : along the edge's normal, from the work into the tool
    tangential : along the work's motion
    """

    thrust: EdgeLaw
    tangential: EdgeLaw


@cache
def thickness_range() -> ThicknessRange:
    """Return the chips for which the power law was measured."""
    row = tomllib.loads(_TABLE.read_text(encoding="utf-8"))["kienzle"]
    return ThicknessRange(least_mm=row["least_mm"], greatest_mm=row["greatest_mm"])


def edge_laws(material: WorkMaterial, cut: Cut) -> EdgeLaws:
    """Laws of a material and a rake.

    Raises
    ------
    InputError
        The rake is so steep that no force is left.

    Notes
    -----
    kc1.1 h^(1 - mc) (1 - g (rake - rake0)/100), and for the thrust
    kc1.1 ratio (h/0.2 mm)^-q h^(1 - mc) (1 - g_t (rake - rake0)/100). Kienzle, O. &
    Victor, H. (1957), Werkstattstechnik und Maschinenbau 47, 224.
    """
    law, power = material.thrust, 1.0 - material.mc
    ratio = law.ratio * THRUST_REFERENCE_THICKNESS_MM**law.thin_chip_exponent
    return EdgeLaws(
        thrust=EdgeLaw(
            scale=material.kc11_mpa
            * ratio
            * rake_factor(material, cut, law.rake_percent_per_degree),
            # Not below 0 by rounding: a thickness may be 0.
            power=max(power - law.thin_chip_exponent, 0.0),
        ),
        tangential=EdgeLaw(
            scale=material.kc11_mpa
            * rake_factor(material, cut, material.rake_percent_per_degree),
            power=power,
        ),
    )


def rake_factor(material: WorkMaterial, cut: Cut, percent_per_degree: float) -> float:
    """Force over that at the material's reference rake. [-].

    Raises
    ------
    InputError
        The rake is so steep that no force is left.
    """
    steeper = cut.rake_deg - material.reference_rake_deg
    factor = 1.0 - percent_per_degree / 100.0 * steeper
    if factor <= 0.0:
        message = (
            f"cut.rake_deg = {cut.rake_deg:g} deg: {steeper:g} deg above the reference "
            f"rake of {material.key} leaves no force at {percent_per_degree:g} % per "
            "degree; give a smaller rake"
        )
        raise InputError(message)
    return factor
