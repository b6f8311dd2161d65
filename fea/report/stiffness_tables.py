"""Tables of stiffness, compliance and the deflection curves."""

from fea.analysis.result import AXES, Comparison, StackResult
from fea.report.motion import (
    at_deepest,
    band_at,
    common_depth,
    motion_along_force,
    place,
    stiffness,
    stiffness_ratio,
)
from fea.report.number import between, coarse, rounded, setting
from fea.report.palette import title_of, titles
from fea.report.table import NOT_THERE, Table
from geometry.pad import FloatArray


def stiffness_table(comparison: Comparison) -> Table:
    """Stiffness, motion and error of both stacks at the deepest cut both hold."""
    depth = common_depth(comparison)
    at = f"at {setting(depth)} mm"
    stacks = (comparison.quick_change, comparison.four_way)
    moves = [motion_along_force(stack, depth) for stack in stacks]
    errors = [float(s.curve.diameter_error_um[place(s, depth)]) for s in stacks]
    error_bands = [band_at(s, s.bands.diameter_error_um, depth) for s in stacks]
    return Table(
        caption="Stiffness at the tool tip",
        meaning=(
            "Stiffness is the force it takes to push the tip one micrometre along "
            "the cutting force: more is better. The last column is post over block. "
            "In brackets: 5 to 95 % of what joints, ground and clamping may be."
        ),
        head=("", *titles(comparison), "ratio"),
        rows=(
            (
                f"stiffness along the cutting force, {at} (N/µm)",
                *(_stiffness(stack, depth) for stack in stacks),
                _with_band(stiffness_ratio(comparison), comparison.ratio_band),
            ),
            (
                f"tip gives way along the force, {at} (µm)",
                *map(rounded, moves),
                _ratio(*moves),
            ),
            (
                "mesh error of that motion, at the deepest cut (%)",
                *(coarse(100.0 * stack.mesh_error) for stack in stacks),
                NOT_THERE,
            ),
            (
                f"diameter error, {at} (µm; positive: too large)",
                *map(_with_band, errors, error_bands),
                _ratio(*errors),
            ),
        ),
    )


def compliance_tables(stack: StackResult) -> tuple[Table, Table]:
    """Compliance when clamped and about the deepest cut."""
    return (
        _compliance(stack, stack.compliance_um_per_n, "clamped, small forces"),
        _compliance(stack, stack.working_compliance_um_per_n, "about the deepest cut"),
    )


def curve_table(stack: StackResult) -> Table:
    """Force, deflection and error, depth by depth."""
    curve = stack.curve
    rows = [
        (
            setting(float(curve.depth_mm[i])),
            rounded(float(curve.actual_depth_mm[i])),
            *map(rounded, curve.force_n[i]),
            *map(rounded, curve.deflection_um[i]),
            rounded(float(curve.diameter_error_um[i])),
        )
        for i in range(len(curve.depth_mm))
    ]
    return Table(
        caption=f"Deflection against depth of cut with the {title_of(stack)}",
        meaning=(
            "The tool gives way and so cuts less than is set; a spring pass takes "
            "part of the difference. Radial is away from the work, axial toward the "
            "tailstock, vertical up."
        ),
        head=(
            "depth set (mm)",
            "depth cut (mm)",
            *(f"{axis} force (N)" for axis in AXES),
            *(f"{axis} (µm)" for axis in AXES),
            "diameter error (µm)",
        ),
        rows=tuple(rows),
    )


def _compliance(stack: StackResult, matrix: FloatArray, state: str) -> Table:
    like = float(matrix.diagonal().min())
    return Table(
        caption=f"Compliance of the tip with the {title_of(stack)}, {state} (µm/N)",
        meaning=(
            "How far the tip moves (row) for each newton that pushes it (column). "
            "Numbers off the diagonal are motion across the push."
        ),
        head=("motion", *(f"{axis} force" for axis in AXES)),
        rows=tuple(
            (axis, *(rounded(value, like=like) for value in row))
            for axis, row in zip(AXES, matrix, strict=True)
        ),
    )


def _stiffness(stack: StackResult, depth_mm: float) -> str:
    band = stack.bands.stiffness_n_per_um if at_deepest(stack, depth_mm) else None
    return _with_band(stiffness(stack, depth_mm), band)


def _ratio(a: float, b: float) -> str:
    return rounded(a / b) if a * b > 0.0 else NOT_THERE


def _with_band(value: float, band: FloatArray | None) -> str:
    return rounded(value) if band is None else f"{rounded(value)} ({between(*band)})"
