"""What an analysis found: complete, frozen records; nothing here computes physics."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from fea.core.strength import safety_factor
from fea.machining.deflection import DeflectionCurve
from geometry.pad import FloatArray

AXES = ("radial", "axial", "vertical")

# A stress is coarse where the elements that meet there differ from it by more than this
# share: as much as readings still change when a mesh is refined threefold.
COARSE = 0.2


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
class PressureMap:
    """Contact pressure over a pad.

    Parameters
    ----------
    along_mm, across_mm : (n,) along the pad's first and second side, from its middle
    pressure_mpa : (n, n), first index along; NaN in the pad's window
    """

    along_mm: FloatArray
    across_mm: FloatArray
    pressure_mpa: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class JointResult:
    """What became of a joint that can lift or slip.

    Parameters
    ----------
    clamped_force_n, loaded_force_n : normal force, before and under the deepest cut
    slip_use : shear over the most that friction can carry, under the deepest cut
    slipping : fraction of the area that slips under the deepest cut
    open_clamped, open_loaded : fraction of the area without contact
    slips_at_mm, lifts_at_mm : nominal depth of cut at which it begins, or None
    sides : (2, 3) machine directions of the maps' first and second side
    clamped, loaded : pressure before and under the deepest cut; None of a strut's end,
        which is one point
    """

    name: str
    clamped_force_n: float
    loaded_force_n: float
    slip_use: float
    slipping: float
    open_clamped: float
    open_loaded: float
    slips_at_mm: float | None
    lifts_at_mm: float | None
    sides: FloatArray
    clamped: PressureMap | None
    loaded: PressureMap | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadCycle:
    """What is left when the deepest cut is taken off and put on again.

    Parameters
    ----------
    residual_um : (3,) motion of the tip that stays when the force is gone
    loss_n_mm : work lost in unloading and loading again
    """

    residual_um: FloatArray
    loss_n_mm: float


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
class Bands:
    """5 and 95 % of what uncertain joints, ground and clamping forces allow.

    Parameters
    ----------
    samples : how many sets of constants were tried
    depth_mm : (k,) nominal depths, some of the curve's; the deepest that both stacks
        hold is one of them
    deflection_um : (2, k, 3) low and high
    diameter_error_um : (2, k)
    compliance_um_per_n : (2, 3, 3) for small forces on the clamped stack
    stiffness_n_per_um : (2,) along the cutting force at the deepest cut
    shares : member to low and high fraction
    lost : fraction of the samples in which a joint is lost before the deepest cut
    """

    samples: int
    depth_mm: FloatArray
    deflection_um: FloatArray
    diameter_error_um: FloatArray
    compliance_um_per_n: FloatArray
    stiffness_n_per_um: FloatArray
    shares: dict[str, tuple[float, float]]
    lost: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StressPeak:
    """Highest stress at a feature of a part under clamping and the deepest cut.

    Parameters
    ----------
    part, feature : where; "dovetail root", "slot root", "holder lip", "stud", ...
    von_mises_mpa : a stated distance from a re-entrant edge, or anywhere else
    yield_mpa : of the material
    spread_mpa : how far the elements there differ from it; 0 for a closed form
    distance_mm : from the sharp corner at which it is read, None away from corners
    yield_mpa : of the material
    material : what the strength is, and its source
    mesh_limited : the edge itself is singular, its own value means nothing
    """

    part: str
    feature: str
    von_mises_mpa: float
    spread_mpa: float
    distance_mm: float | None
    yield_mpa: float
    material: str
    mesh_limited: bool

    @property
    def coarse(self) -> bool:
        """Whether the elements there are too large to agree about the stress."""
        return self.spread_mpa > COARSE * self.von_mises_mpa

    @property
    def safety(self) -> float:
        """Yield strength over stress."""
        return safety_factor(self.yield_mpa, self.von_mises_mpa)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartError:
    """What the mesh of one part takes from the tip's motion.

    Parameters
    ----------
    name : of the part
    unknowns : of its mesh
    refined : steps by which the mesh is finer than the case's size asks
    fraction : estimate, of the motion along the force at the deepest cut; the true
        motion is larger
    """

    name: str
    unknowns: int
    refined: int
    fraction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StackResult:
    """One stack's answer.

    Parameters
    ----------
    name : "quick-change" or "four-way"
    compliance_um_per_n : (3, 3), rows motion, columns force, in the order of `AXES`;
        for small forces on the clamped stack
    working_compliance_um_per_n : (3, 3), the same for small changes of the deepest cut
    stiffness_n_per_um : force over motion along the cutting force at the deepest cut
    curve : deflection against nominal depth of cut, as far as the stack holds
    shares : of the work of the cut up to the deepest depth; they sum to 1
    joints : every joint that can lift or slip
    cycle : what stays after unloading; None if unloading found no equilibrium
    stresses : peaks by feature, worst first
    bands : what uncertain constants allow
    mesh_errors : of every part
    lost : which joint is lost at `lost_depth_mm`, or None if all depths hold
    frequencies_hz : (n_mode,), lowest first, about the deepest cut
    load_n : (3,) cutting force at the deepest cut, on the tool
    fields : the parts under `load_n`
    """

    name: str
    compliance_um_per_n: FloatArray
    working_compliance_um_per_n: FloatArray
    stiffness_n_per_um: float
    curve: DeflectionCurve
    shares: tuple[Share, ...]
    joints: tuple[JointResult, ...]
    cycle: LoadCycle | None
    stresses: tuple[StressPeak, ...]
    bands: Bands
    mesh_errors: tuple[PartError, ...]
    lost: str | None
    lost_depth_mm: float | None
    frequencies_hz: FloatArray
    load_n: FloatArray
    fields: tuple[PartField, ...]

    @property
    def mesh_error(self) -> float:
        """Fraction of the tip's motion that all meshes together leave out."""
        return sum(error.fraction for error in self.mesh_errors)


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Both stacks on the same machine, with the same tool and cut.

    Parameters
    ----------
    notes : what was assumed, one sentence each
    warnings : what makes the numbers doubtful, one sentence each; read first
    ratio_band : (2,) 5 and 95 % of the ratio of both stiffnesses at the deepest cut
        that both hold, same constants in both stacks
    solver : name and version of the sparse solver that reduced the parts
    """

    quick_change: StackResult
    four_way: StackResult
    notes: tuple[str, ...]
    warnings: tuple[str, ...]
    ratio_band: FloatArray
    solver: str

    @property
    def stiffness_ratio(self) -> float:
        """Quick-change post over four-way block, along the cutting force."""
        return self.quick_change.stiffness_n_per_um / self.four_way.stiffness_n_per_um
