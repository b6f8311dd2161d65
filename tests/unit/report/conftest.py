"""An invented comparison: blocky stacks under a smooth displacement field."""

import numpy as np
import pytest
from invented_chatter import at_450, make_chatter, with_limits
from invented_joints import (
    DEPTHS,
    FOUR_WAY_JOINTS,
    QUICK_CHANGE_JOINTS,
    STRESSES,
    make_bands,
)
from invented_parts import four_way_fields, quick_change_fields

from fea.analysis.chatter_result import Chatter
from fea.analysis.result import (
    Comparison,
    JointResult,
    LoadCycle,
    PartError,
    PartField,
    Share,
    ShareKind,
    StackResult,
)
from fea.machining.deflection import DeflectionCurve
from fea.report.case_summary import CaseRow, CaseSummary

FORCE_PER_MM = np.array([70.0, 95.0, -280.0])

QUICK_CHANGE_SHARES = (
    (ShareKind.PART, "tool bit", 0.14),
    (ShareKind.PART, "holder", 0.12),
    (ShareKind.PART, "post body", 0.05),
    (ShareKind.PART, "moving flank", 0.004),
    (ShareKind.PART, "top slide", 0.08),
    (ShareKind.PART, "lower slide", 0.03),
    (ShareKind.JOINT, "tool floor", 0.05),
    (ShareKind.JOINT, "fixed flank", 0.13),
    (ShareKind.JOINT, "clamped flank", 0.07),
    (ShareKind.JOINT, "moving flank back", 0.03),
    (ShareKind.JOINT, "land near work", 0.016),
    (ShareKind.JOINT, "land far", 0.01),
    (ShareKind.JOINT, "base", 0.04),
    (ShareKind.JOINT, "way near work", 0.06),
    (ShareKind.JOINT, "way far", 0.04),
    (ShareKind.JOINT, "way flank near work", 0.03),
    (ShareKind.JOINT, "gib", 0.04),
    (ShareKind.JOINT, "ground", 0.03),
    (ShareKind.LINK, "stud", 0.004),
    (ShareKind.JOINT, "set screw 1", 0.006),
    (ShareKind.JOINT, "set screw 2", 0.005),
    (ShareKind.JOINT, "set screw 3", 0.005),
    (ShareKind.LINK, "lead screw", 0.01),
)
FOUR_WAY_SHARES = (
    (ShareKind.PART, "tool bit", 0.20),
    (ShareKind.PART, "four-way block", 0.10),
    (ShareKind.PART, "top slide", 0.13),
    (ShareKind.PART, "lower slide", 0.05),
    (ShareKind.JOINT, "tool floor", 0.07),
    (ShareKind.JOINT, "base", 0.08),
    (ShareKind.JOINT, "way near work", 0.10),
    (ShareKind.JOINT, "way far", 0.06),
    (ShareKind.JOINT, "way flank near work", 0.05),
    (ShareKind.JOINT, "gib", 0.06),
    (ShareKind.JOINT, "ground", 0.05),
    (ShareKind.LINK, "stud", 0.006),
    (ShareKind.JOINT, "set screw 1", 0.012),
    (ShareKind.JOINT, "set screw 2", 0.012),
    (ShareKind.LINK, "lead screw", 0.02),
)


def make_shares(
    rows: tuple[tuple[ShareKind, str, float], ...],
) -> tuple[Share, ...]:
    return tuple(Share(kind=k, name=n, fraction=f) for k, n, f in rows)


def make_stack(
    name: str,
    softness: float,
    shares: tuple[Share, ...],
    fields: tuple[PartField, ...],
    joints: tuple[JointResult, ...],
) -> StackResult:
    """Consistent numbers: deflection = compliance x force at every depth."""
    compliance = softness * np.array(
        [[0.030, 0.004, -0.012], [0.004, 0.025, -0.006], [-0.012, -0.006, 0.050]]
    )
    radial = compliance[0] @ FORCE_PER_MM
    actual = DEPTHS / (1.0 + radial * 1e-3)
    force = actual[:, None] * FORCE_PER_MM
    deflection = force @ compliance.T
    size = float(np.linalg.norm(force[-1]))
    stiffness = size**2 / float(deflection[-1] @ force[-1])
    return StackResult(
        name=name,
        compliance_um_per_n=compliance,
        stiffness_n_per_um=stiffness,
        curve=DeflectionCurve(
            depth_mm=DEPTHS,
            actual_depth_mm=actual,
            force_n=force,
            deflection_um=deflection,
            diameter_error_um=2.0 * deflection[:, 0],
        ),
        working_compliance_um_per_n=1.1 * compliance,
        shares=shares,
        joints=joints,
        cycle=LoadCycle(residual_um=np.array([0.5, -0.2, -0.4]), loss_n_mm=0.3),
        stresses=STRESSES,
        bands=make_bands(DEPTHS, compliance, deflection, shares, stiffness),
        mesh_errors=tuple(
            PartError(
                name=field.name,
                unknowns=field.unknowns,
                refined=number,
                fraction=0.001 * (number + 1),
            )
            for number, field in enumerate(fields)
        ),
        lost=None,
        lost_depth_mm=None,
        frequencies_hz=np.array([412.0, 655.0, 1031.0, 1490.0]) / softness**0.5,
        load_n=force[-1],
        fields=fields,
    )


def make_comparison(warnings: tuple[str, ...] = ()) -> Comparison:
    return Comparison(
        quick_change=make_stack(
            "quick-change",
            1.4,
            make_shares(QUICK_CHANGE_SHARES),
            quick_change_fields(1.4),
            QUICK_CHANGE_JOINTS,
        ),
        four_way=make_stack(
            "four-way",
            1.0,
            make_shares(FOUR_WAY_SHARES),
            four_way_fields(1.0),
            FOUR_WAY_JOINTS,
        ),
        notes=("Joints are linear about the clamp pressure.", "The work is rigid."),
        warnings=warnings,
        ratio_band=np.array([0.6, 0.85]),
        solver="invented 1.0",
    )


@pytest.fixture(scope="session")
def comparison() -> Comparison:
    return make_comparison(warnings=("The mesh is coarse at <the slot>.",))


@pytest.fixture(scope="session")
def chatter() -> Chatter:
    return make_chatter(make_shares(QUICK_CHANGE_SHARES), make_shares(FOUR_WAY_SHARES))


@pytest.fixture
def plain(chatter: Chatter) -> Chatter:
    """Limits that can be read off in the words."""
    return with_limits(chatter, at_450(1.9, 1.42, 2.61), at_450(2.1, 1.5, 2.9, 870.0))


@pytest.fixture(scope="session")
def case_summary() -> CaseSummary:
    rows = (
        ("tool bit", "overhang", "25 mm", False),
        ("tool bit", "shank", "12 mm x 12 mm", False),
        ("quick-change post", "dovetail angle", "60 deg", True),
        ("cut", "feed", "0.1 mm", True),
    )
    return CaseSummary(
        title="Bench lathe & <new> post",
        about="An invented bench lathe of 150 mm centre height.",
        rows=tuple(
            CaseRow(section=s, key=k, value=v, is_default=d) for s, k, v, d in rows
        ),
    )
