"""What is cut: specific cutting force and the direction of the thrust."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from fea.machining.cut import RAKE_LIMITS_DEG, require_within
from geometry.errors import InputError

TABLE = Path(__file__).with_name("work_materials.toml")

SPECIFIC_FORCE_LIMITS_MPA = (100.0, 10_000.0)
EXPONENT_LIMITS = (0.0, 0.6)
RAKE_SLOPE_LIMITS = (0.0, 3.2)
"""[% per degree]; a steeper law would turn the force round within the rakes allowed."""
RATIO_LIMITS = (0.05, 2.0)
SPREAD_LIMITS = (0.0, 0.95)
_TABLE_ADVICE = "correct the work material's row"


@dataclass(frozen=True, slots=True, kw_only=True)
class ThrustLaw:
    """Thrust normal to the edge, in the reference plane, over the cutting force.

    Parameters
    ----------
    ratio : at a chip thickness of 0.2 mm and the material's reference rake
    thin_chip_exponent : the ratio grows as thickness to minus this power
    rake_percent_per_degree : fall of the thrust per degree of rake above the
        reference
    spread : half width of the 5 to 95 % band, relative to the ratio
    source : where the ratio and its exponent come from
    """

    ratio: float
    thin_chip_exponent: float
    rake_percent_per_degree: float
    spread: float
    source: str

    def __post_init__(self) -> None:
        """Refuse numbers that no metal shows."""
        for name, value, limits, unit in (
            ("ratio", self.ratio, RATIO_LIMITS, "-"),
            ("thin_chip_exponent", self.thin_chip_exponent, EXPONENT_LIMITS, "-"),
            (
                "rake_percent_per_degree",
                self.rake_percent_per_degree,
                RAKE_SLOPE_LIMITS,
                "%/deg",
            ),
            ("spread", self.spread, SPREAD_LIMITS, "-"),
        ):
            require_within(f"thrust.{name}", value, limits, unit, _TABLE_ADVICE)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkMaterial:
    """Kienzle constants of one work material, as a table gives them.

    Parameters
    ----------
    key : name in a case file
    name : what a machinist calls it
    strength : hardness and tensile strength, in words
    kc11_mpa : cutting force on a chip 1 mm wide and 1 mm thick. [N/mm²]
    mc : exponent with which the specific force falls as the chip gets thicker
    reference_rake_deg : rake for which `kc11_mpa` was found. [deg]
    rake_percent_per_degree : fall of the force per degree of rake above that
    spread : half width of the 5 to 95 % band of the force, relative
    source : where `kc11_mpa` and `mc` come from
    thrust : law of the thrust
    """

    key: str
    name: str
    strength: str
    kc11_mpa: float
    mc: float
    reference_rake_deg: float
    rake_percent_per_degree: float
    spread: float
    source: str
    thrust: ThrustLaw

    def __post_init__(self) -> None:
        """Refuse numbers that no metal shows."""
        for name, value, limits, unit in (
            ("kc11_mpa", self.kc11_mpa, SPECIFIC_FORCE_LIMITS_MPA, "N/mm²"),
            ("mc", self.mc, EXPONENT_LIMITS, "-"),
            ("reference_rake_deg", self.reference_rake_deg, RAKE_LIMITS_DEG, "deg"),
            (
                "rake_percent_per_degree",
                self.rake_percent_per_degree,
                RAKE_SLOPE_LIMITS,
                "%/deg",
            ),
            ("spread", self.spread, SPREAD_LIMITS, "-"),
        ):
            require_within(f"{self.key}.{name}", value, limits, unit, _TABLE_ADVICE)
        if self.mc + self.thrust.thin_chip_exponent > 1.0:
            message = (
                f"{self.key}: mc = {self.mc:g} and thrust.thin_chip_exponent = "
                f"{self.thrust.thin_chip_exponent:g} add up to more than 1: the thrust "
                f"would grow as the chip vanishes; {_TABLE_ADVICE}"
            )
            raise InputError(message)


def _material(key: str, row: dict[str, Any]) -> WorkMaterial:
    thrust = ThrustLaw(**row.pop("thrust"))
    return WorkMaterial(key=key, thrust=thrust, **row)


@cache
def load_work_materials() -> dict[str, WorkMaterial]:
    """Every work material of the table that comes with the program, by its key.

    Returns
    -------
    dict
        In the table's order; the same object at each call, so leave it as it is.
    """
    table = tomllib.loads(TABLE.read_text(encoding="utf-8"))
    return {key: _material(key, row) for key, row in table.items()}
