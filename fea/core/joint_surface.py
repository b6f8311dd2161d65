"""How two faces of one finish close and slide under pressure, per unit area."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from geometry.units import MM_PER_UM

_TABLE = Path(__file__).with_name("joint_surfaces.toml")

Band = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceSpread:
    """Bands, 5 to 95 %, of a joint surface's constants, in the same units."""

    closure_um: Band
    exponent: Band
    tangential_ratio: Band
    friction: Band
    loss_factor: Band


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSurface:
    """Two metal faces of the same finish.

    Parameters
    ----------
    key : the word a case file uses
    name : how both faces are made
    closure_um : C in closure = C p^m [um/MPa^m]
    exponent : m [-]
    tangential_ratio : tangential over normal stiffness [-]
    friction : Coulomb's coefficient [-]
    loss_factor : share of 2 pi times the stored energy lost in a cycle [-]
    spread : how far these may be off
    source : who says so
    """

    key: str
    name: str
    closure_um: float
    exponent: float
    tangential_ratio: float
    friction: float
    loss_factor: float
    spread: SurfaceSpread
    source: str

    def closure(self, pressure_mpa: float) -> float:
        """Return how far the faces have come together. [mm].

        Notes
        -----
        delta = C p^m
        """
        return self.closure_um * MM_PER_UM * float(pressure_mpa**self.exponent)

    def normal_stiffness(self, pressure_mpa: float) -> float:
        """Return dp/d(delta) at a pressure > 0. [N/mm³].

        Notes
        -----
        dp/d(delta) = p^(1 - m) / (C m), from delta = C p^m (Levina, Ostrovskii).
        """
        m = self.exponent
        return float(pressure_mpa ** (1.0 - m)) / (self.closure_um * MM_PER_UM * m)

    def tangential_stiffness(self, pressure_mpa: float) -> float:
        """Return shear stress over slide, before slip, at a pressure > 0. [N/mm³]."""
        return self.tangential_ratio * self.normal_stiffness(pressure_mpa)


@cache
def load_joint_surfaces() -> MappingProxyType[str, JointSurface]:
    """Return every joint surface under its key."""
    table = tomllib.loads(_TABLE.read_text(encoding="utf-8"))
    return MappingProxyType({row["key"]: _surface(row) for row in table["surface"]})


def _surface(row: dict[str, object]) -> JointSurface:
    bands: dict[str, list[float]] = row.pop("spread")  # type: ignore[assignment]
    spread = SurfaceSpread(**{key: (low, high) for key, (low, high) in bands.items()})
    return JointSurface(spread=spread, **row)  # type: ignore[arg-type]
