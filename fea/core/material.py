"""What a part is made of, as a data sheet gives it."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from geometry.units import T_MM3_PER_KG_M3

_TABLE = Path(__file__).with_name("materials.toml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """Isotropic, linear elastic material.

    Parameters
    ----------
    key : the word a case file uses
    name : grade and condition
    youngs_modulus_mpa : [MPa]
    poissons_ratio : [-]
    density_kg_m3 : [kg/m³]
    yield_mpa : yield or 0.2 % proof strength, for cast iron 0.1 % proof [MPa]
    loss_factor : share of 2 pi times the stored energy lost in a cycle [-]
    loss_factor_band : 5 and 95 % of it
    source : who says so
    brittle : whether it breaks rather than yields
    """

    key: str
    name: str
    youngs_modulus_mpa: float
    poissons_ratio: float
    density_kg_m3: float
    yield_mpa: float
    loss_factor: float
    loss_factor_band: tuple[float, float]
    source: str
    brittle: bool = False

    @property
    def density_t_mm3(self) -> float:
        """Density as the mass matrix needs it. [t/mm³]."""
        return self.density_kg_m3 * T_MM3_PER_KG_M3

    @property
    def shear_modulus_mpa(self) -> float:
        """E / 2(1 + ν). [MPa]."""
        return self.youngs_modulus_mpa / (2.0 * (1.0 + self.poissons_ratio))


@cache
def load_materials() -> MappingProxyType[str, Material]:
    """Return every material under its key and under its other names."""
    rows = tomllib.loads(_TABLE.read_text(encoding="utf-8"))["material"]
    materials: dict[str, Material] = {}
    for row in rows:
        names = (row["key"], *row.pop("also"))
        low, high = row.pop("loss_factor_band")
        materials |= dict.fromkeys(names, Material(loss_factor_band=(low, high), **row))
    return MappingProxyType(materials)
