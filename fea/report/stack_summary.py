"""One stack's answer as numbers for other programs."""

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from fea.analysis.member import Group, group_fractions, group_of
from fea.analysis.result import (
    JointResult,
    PressureMap,
    ShareKind,
    StackResult,
    StressPeak,
)
from fea.report.field_file import FIRST_PART
from fea.report.motion import motion_along_force

Triple = tuple[float, float, float]


class Record(BaseModel):
    """Keys are fixed, values finite: a summary never holds NaN."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class ShareSummary(Record):
    """Fraction of the tip's motion along the force that one member gives."""

    kind: ShareKind
    name: str
    group: Group
    fraction: float


class CurvePoint(Record):
    """Equilibrium at one depth of cut; vectors are radial, axial, vertical."""

    depth_mm: float = Field(description="depth of cut, or width of tool")
    actual_depth_mm: float = Field(description="depth once the tool has given way")
    force_n: Triple = Field(description="on the tool")
    deflection_um: Triple = Field(description="of the tool tip")
    diameter_error_um: float = Field(
        description="by which the work is too large; 0 in facing"
    )


class PartSummary(Record):
    """Mesh and mass of one part."""

    part_number: int = Field(description="cell data `part` of the .vtu file")
    name: str
    unknowns: int
    points: int
    tetrahedra: int
    refined: int = Field(description="steps by which the mesh is finer than asked")
    mesh_error: float = Field(
        description="estimate of the fraction of the tip's motion that it leaves out"
    )
    mass_kg: float


class JointSummary(Record):
    """A joint that can lift or slip; the deepest cut held is meant by loaded."""

    name: str
    group: Group
    clamped_force_n: float
    loaded_force_n: float
    slip_use: float = Field(description="shear over the most that friction carries")
    slipping: float = Field(description="fraction of the area, loaded")
    open_clamped: float = Field(description="fraction of the area")
    open_loaded: float = Field(description="fraction of the area")
    slips_at_mm: float | None = Field(description="depth at which it begins")
    lifts_at_mm: float | None = Field(description="depth at which it begins")
    clamped_peak_mpa: float | None = Field(description="of contact; a strut has none")
    loaded_peak_mpa: float | None = Field(description="of contact; a strut has none")


class StressSummary(Record):
    """Highest stress of a feature."""

    part: str
    feature: str
    von_mises_mpa: float
    spread_mpa: float = Field(description="how far the elements there differ from it")
    coarse: bool = Field(description="they differ so much that it is a guide only")
    distance_mm: float | None = Field(description="from the corner that it is read at")
    yield_mpa: float
    material: str = Field(description="what the strength is, and its source")
    mesh_limited: bool = Field(description="at a sharp edge: means nothing itself")
    safety: float | None = Field(description="yield over stress; not of such an edge")


class BandSummary(Record):
    """5 and 95 % of what uncertain constants allow."""

    samples: int
    depth_mm: tuple[float, ...]
    deflection_um: tuple[tuple[Triple, ...], tuple[Triple, ...]]
    diameter_error_um: tuple[tuple[float, ...], tuple[float, ...]]
    compliance_um_per_n: tuple[
        tuple[Triple, Triple, Triple], tuple[Triple, Triple, Triple]
    ]
    stiffness_n_per_um: tuple[float, float]
    shares: dict[str, tuple[float, float]]
    lost: float = Field(description="fraction of the samples that lose a joint")


class StackSummary(Record):
    """One stack's answer; vectors and matrices are radial, axial, vertical."""

    compliance_um_per_n: tuple[Triple, Triple, Triple] = Field(
        description="rows: motion of the tip; columns: force on it"
    )
    working_compliance_um_per_n: tuple[Triple, Triple, Triple] = Field(
        description="the same about the deepest cut"
    )
    stiffness_n_per_um: float = Field(
        description="along the cutting force of the deepest cut"
    )
    motion_along_force_um: float = Field(description="of the tip at the deepest cut")
    mesh_error: float = Field(
        description="estimate of the fraction of it that the meshes leave out"
    )
    load_n: Triple = Field(description="cutting force at the deepest cut")
    mass_kg: float
    frequencies_hz: tuple[float, ...] = Field(description="lowest first")
    group_fractions: dict[Group, float] = Field(description="sum to 1")
    shares: tuple[ShareSummary, ...] = Field(description="fractions sum to 1")
    joints: tuple[JointSummary, ...]
    stresses: tuple[StressSummary, ...] = Field(description="least safe first")
    residual_um: Triple | None = Field(description="stays after unloading")
    loss_n_mm: float | None = Field(description="work lost in a load cycle")
    lost: str | None = Field(description="which joint is lost, and at what force")
    lost_depth_mm: float | None
    bands: BandSummary
    curve: tuple[CurvePoint, ...]
    parts: tuple[PartSummary, ...]


def stack_summary(stack: StackResult) -> StackSummary:
    """Collect the numbers of a stack."""
    return StackSummary.model_validate(
        {
            "compliance_um_per_n": stack.compliance_um_per_n.tolist(),
            "working_compliance_um_per_n": stack.working_compliance_um_per_n.tolist(),
            "stiffness_n_per_um": stack.stiffness_n_per_um,
            **_contact(stack),
            "motion_along_force_um": motion_along_force(stack),
            "mesh_error": stack.mesh_error,
            "load_n": stack.load_n.tolist(),
            "mass_kg": sum(field.mass_kg for field in stack.fields),
            "frequencies_hz": stack.frequencies_hz.tolist(),
            "group_fractions": group_fractions(stack.shares),
            "shares": [
                ShareSummary(
                    kind=share.kind,
                    name=share.name,
                    group=group_of(share.name),
                    fraction=share.fraction,
                )
                for share in stack.shares
            ],
            "curve": _curve(stack),
            "parts": _parts(stack),
        }
    )


def _contact(stack: StackResult) -> dict[str, object]:
    """Return what joints that lift and slip and uncertain constants give."""
    cycle = stack.cycle
    return {
        "joints": [_joint(joint) for joint in stack.joints],
        "stresses": [_stress(peak) for peak in stack.stresses],
        "residual_um": None if cycle is None else cycle.residual_um.tolist(),
        "loss_n_mm": None if cycle is None else cycle.loss_n_mm,
        "lost": stack.lost,
        "lost_depth_mm": stack.lost_depth_mm,
        "bands": _picked(BandSummary, stack.bands),
    }


def _joint(joint: JointResult) -> dict[str, object]:
    return {
        **_picked(JointSummary, joint),
        "group": group_of(joint.name),
        "clamped_peak_mpa": _peak(joint.clamped),
        "loaded_peak_mpa": _peak(joint.loaded),
    }


def _peak(pressure: PressureMap | None) -> float | None:
    return None if pressure is None else float(np.nanmax(pressure.pressure_mpa))


def _stress(peak: StressPeak) -> dict[str, object]:
    safety = None if peak.mesh_limited else peak.safety
    return {**_picked(StressSummary, peak), "safety": safety}


def _picked(record: type[Record], source: object) -> dict[str, object]:
    """Return the record's fields that a result has, too; arrays as lists."""
    names = (name for name in record.model_fields if hasattr(source, name))
    values = {name: getattr(source, name) for name in names}
    return {
        name: value.tolist() if isinstance(value, np.ndarray) else value
        for name, value in values.items()
    }


def _curve(stack: StackResult) -> list[CurvePoint]:
    curve = stack.curve
    columns = zip(
        curve.depth_mm.tolist(),
        curve.actual_depth_mm.tolist(),
        curve.force_n.tolist(),
        curve.deflection_um.tolist(),
        curve.diameter_error_um.tolist(),
        strict=True,
    )
    return [
        CurvePoint.model_validate(dict(zip(CurvePoint.model_fields, row, strict=True)))
        for row in columns
    ]


def _parts(stack: StackResult) -> list[PartSummary]:
    pairs = zip(stack.fields, stack.mesh_errors, strict=True)
    return [
        PartSummary(
            part_number=number,
            name=field.name,
            unknowns=field.unknowns,
            points=len(field.points),
            tetrahedra=len(field.tetrahedra),
            refined=error.refined,
            mesh_error=error.fraction,
            mass_kg=field.mass_kg,
        )
        for number, (field, error) in enumerate(pairs, start=FIRST_PART)
    ]
