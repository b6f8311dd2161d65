"""Loss factors of a stack's members: how much energy each loses when it rings."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from fea.core.joint import Joint
from fea.core.joint_surface import JointSurface
from fea.core.material import Material, load_materials
from fea.core.plan import StackPlan
from fea.core.stack import Stack
from fea.core.strut import StrutLaw
from fea.core.surface_law import SurfaceLaw

_TABLE = Path(__file__).with_name("ground_loss.toml")
STEEL = "steel"  # what studs, screws and the lead screw are made of


@dataclass(frozen=True, slots=True, kw_only=True)
class LossFactor:
    """Share of 2 pi times the stored energy that is lost in a cycle [-].

    Parameters
    ----------
    value : expected
    low, high : 5 and 95 %
    """

    value: float
    low: float
    high: float


# A joint that is none: both sides are of one piece.
LOSSLESS = LossFactor(value=0.0, low=0.0, high=0.0)


def loss_factors(stack: Stack | StackPlan) -> dict[str, LossFactor]:
    """Return the loss factor of every part, joint and link by its name.

    Parts and links lose what their material does, joints what their faces do, and the
    ground what all of the machine below does. Threads are counted as their steel.
    """
    steel = _of_material(load_materials()[STEEL])
    found = {part.name: _of_material(part.material) for part in stack.parts}
    found |= {joint.name: _of_joint(joint) for joint in stack.joints}
    return found | dict.fromkeys((link.name for link in stack.links), steel)


def _of_joint(joint: Joint) -> LossFactor:
    if isinstance(joint.law, SurfaceLaw):
        return _of_surface(joint.law.surface)
    if isinstance(joint.law, StrutLaw):
        return _of_strut(joint.law)
    return _of_ground() if joint.lower is None else LOSSLESS


def _of_surface(surface: JointSurface) -> LossFactor:
    low, high = surface.spread.loss_factor
    return LossFactor(value=surface.loss_factor, low=low, high=high)


def _of_strut(law: StrutLaw) -> LossFactor:
    """Of steel and of the faces at its end, by their shares in what it gives way."""
    steel, end = _of_material(load_materials()[STEEL]), _of_surface(law.surface)
    rod = law.coefficient_stiffness(1)[-1] * law.area / law.axial
    return LossFactor(
        value=rod * steel.value + (1.0 - rod) * end.value,
        low=rod * steel.low + (1.0 - rod) * end.low,
        high=rod * steel.high + (1.0 - rod) * end.high,
    )


def _of_material(material: Material) -> LossFactor:
    low, high = material.loss_factor_band
    return LossFactor(value=material.loss_factor, low=low, high=high)


@cache
def _of_ground() -> LossFactor:
    row = tomllib.loads(_TABLE.read_text(encoding="utf-8"))["ground"]
    low, high = row["loss_factor_band"]
    return LossFactor(value=row["loss_factor"], low=low, high=high)
