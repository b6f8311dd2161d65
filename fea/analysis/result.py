"""What an analysis found: complete, frozen records; nothing here computes physics."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from fea.machining.deflection import DeflectionCurve
from geometry.pad import FloatArray

AXES = ("radial", "axial", "vertical")


class ShareKind(StrEnum):
    """What a share of the tip's motion belongs to."""

    PART = "part"
    JOINT = "joint"
    LINK = "link"


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """Fraction of the tip's motion along the force that one member gives."""

    kind: ShareKind
    name: str
    fraction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PartField:
    """One part where it stands in the machine, and how it moves under the load.

    Parameters
    ----------
    name : the part's name in the stack
    points : (n_point, 3) [mm], machine frame, undeformed
    tetrahedra : (n_tet, 4)
    displacement : (n_point, 3) [mm]
    unknowns : displacement unknowns of the part's quadratic mesh
    mass_kg : mass of the meshed part
    """

    name: str
    points: FloatArray
    tetrahedra: NDArray[np.int64]
    displacement: FloatArray
    unknowns: int
    mass_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StackResult:
    """One stack's answer.

    Parameters
    ----------
    name : "quick-change" or "four-way"
    compliance_um_per_n : (3, 3), rows motion, columns force, in the order of `AXES`
    stiffness_n_per_um : force over motion along the cutting force at the deepest cut
    curve : deflection against nominal depth of cut
    shares : of the motion along the cutting force at the deepest cut; they sum to 1
    frequencies_hz : (n_mode,), lowest first
    load_n : (3,) cutting force at the deepest cut, on the tool
    fields : the parts under `load_n`
    """

    name: str
    compliance_um_per_n: FloatArray
    stiffness_n_per_um: float
    curve: DeflectionCurve
    shares: tuple[Share, ...]
    frequencies_hz: FloatArray
    load_n: FloatArray
    fields: tuple[PartField, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Both stacks on the same machine, with the same tool and cut.

    Parameters
    ----------
    notes : what was assumed, one sentence each
    warnings : what makes the numbers doubtful, one sentence each; read first
    solver : name and version of the sparse solver that reduced the parts
    """

    quick_change: StackResult
    four_way: StackResult
    notes: tuple[str, ...]
    warnings: tuple[str, ...]
    solver: str

    @property
    def stiffness_ratio(self) -> float:
        """Quick-change post over four-way block, along the cutting force."""
        return self.quick_change.stiffness_n_per_um / self.four_way.stiffness_n_per_um
