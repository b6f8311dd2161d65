"""The comparison as numbers for other programs: `summary.json` and its schema."""

from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field

from fea.analysis.result import AXES, Comparison, ShareKind, StackResult
from fea.report.case_summary import CaseSummary
from fea.report.field_file import FIRST_PART
from fea.report.member import Group, group_fractions, group_of
from fea.report.verdict import motion_along_force, verdict

SCHEMA_VERSION: Literal[1] = 1
"""Raised whenever a key is renamed or removed or changes its meaning."""

Triple = tuple[float, float, float]


class _Record(BaseModel):
    """Keys are fixed, values finite: a summary never holds NaN."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class ShareSummary(_Record):
    """Fraction of the tip's motion along the force that one member gives."""

    kind: ShareKind
    name: str
    group: Group
    fraction: float


class CurvePoint(_Record):
    """Equilibrium at one depth of cut; vectors are radial, axial, vertical."""

    depth_mm: float = Field(description="depth of cut that was set")
    actual_depth_mm: float = Field(description="depth once the tool has given way")
    force_n: Triple = Field(description="on the tool")
    deflection_um: Triple = Field(description="of the tool tip")
    diameter_error_um: float = Field(description="by which the work is too large")


class PartSummary(_Record):
    """Mesh and mass of one part."""

    part_number: int = Field(description="cell data `part` of the .vtu file")
    name: str
    unknowns: int
    points: int
    tetrahedra: int
    mass_kg: float


class StackSummary(_Record):
    """One stack's answer; vectors and matrices are radial, axial, vertical."""

    compliance_um_per_n: tuple[Triple, Triple, Triple] = Field(
        description="rows: motion of the tip; columns: force on it"
    )
    stiffness_n_per_um: float = Field(
        description="along the cutting force of the deepest cut"
    )
    motion_along_force_um: float = Field(description="of the tip at the deepest cut")
    load_n: Triple = Field(description="cutting force at the deepest cut")
    mass_kg: float
    frequencies_hz: tuple[float, ...] = Field(description="lowest first")
    group_fractions: dict[Group, float] = Field(description="sum to 1")
    shares: tuple[ShareSummary, ...] = Field(description="fractions sum to 1")
    curve: tuple[CurvePoint, ...]
    parts: tuple[PartSummary, ...]


class CaseValue(_Record):
    """One line of the case as it was understood."""

    section: str
    key: str
    value: str = Field(description="with its unit")
    is_default: bool


class Summary(_Record):
    """What `summary.json` holds; `Summary.model_json_schema()` is its JSON Schema."""

    schema_version: Literal[1] = SCHEMA_VERSION
    title: str
    about: str
    verdict: str
    warnings: tuple[str, ...] = Field(description="what makes the numbers doubtful")
    notes: tuple[str, ...] = Field(description="what was assumed")
    solver: str
    axes: tuple[str, str, str] = Field(
        default=AXES, description="order of every vector and matrix in this file"
    )
    stiffness_ratio: float = Field(description="quick-change over four-way")
    quick_change: StackSummary
    four_way: StackSummary
    case: tuple[CaseValue, ...]

    @classmethod
    def of(cls, comparison: Comparison, case: CaseSummary) -> Self:
        """Collect the numbers of a comparison and the words of its case."""
        return cls(
            title=case.title,
            about=case.about,
            verdict=verdict(comparison).text,
            warnings=comparison.warnings,
            notes=comparison.notes,
            solver=comparison.solver,
            stiffness_ratio=comparison.stiffness_ratio,
            quick_change=_stack(comparison.quick_change),
            four_way=_stack(comparison.four_way),
            case=tuple(
                CaseValue(
                    section=row.section,
                    key=row.key,
                    value=row.value,
                    is_default=row.is_default,
                )
                for row in case.rows
            ),
        )


def _stack(stack: StackResult) -> StackSummary:
    return StackSummary.model_validate(
        {
            "compliance_um_per_n": stack.compliance_um_per_n.tolist(),
            "stiffness_n_per_um": stack.stiffness_n_per_um,
            "motion_along_force_um": motion_along_force(stack),
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
    return [
        PartSummary(
            part_number=number,
            name=field.name,
            unknowns=field.unknowns,
            points=len(field.points),
            tetrahedra=len(field.tetrahedra),
            mass_kg=field.mass_kg,
        )
        for number, field in enumerate(stack.fields, start=FIRST_PART)
    ]
