"""Tables of stiffness, compliance and the deflection curves."""

from fea.analysis.result import AXES, Comparison, StackResult
from fea.machining.fed import Fed
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
from fea.report.size_error import error_band_um, error_name, error_um, larger
from fea.report.table import NOT_THERE, Table
from geometry.pad import FloatArray

CUTS_OTHERWISE = (
    "The tool gives way and cuts less than is set where it moves away from the work, "
    "of which a spring pass takes a part, and more where it moves into it."
)
GIVES_WAY = {
    Fed.ALONG: CUTS_OTHERWISE,
    Fed.ACROSS: CUTS_OTHERWISE,
    Fed.IN: "A plunging tool cuts its whole width; the diameter error is that at the "
    "bottom of the groove before it has dwelt.",
}


def stiffness_table(comparison: Comparison) -> Table:
    """Stiffness, motion and error of both stacks at the deepest cut both hold."""
    depth = common_depth(comparison)
    at = f"at {setting(depth)} mm"
    stacks = (comparison.quick_change, comparison.four_way)
    moves = [motion_along_force(stack, depth) for stack in stacks]
    name, way = error_name(stacks[0]), larger(stacks[0])
    errors = [float(error_um(s)[place(s, depth)]) for s in stacks]
    error_bands = [band_at(s, error_band_um(s), depth) for s in stacks]
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
                f"{name}, {at} (µm; positive: {way})",
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
    curve, errors = stack.curve, error_um(stack)
    size = "width" if curve.fed is Fed.IN else "depth"
    rows = [
        (
            setting(float(curve.depth_mm[i])),
            rounded(float(curve.actual_depth_mm[i])),
            *map(rounded, curve.force_n[i]),
            *map(rounded, curve.deflection_um[i]),
            rounded(float(errors[i])),
        )
        for i in range(len(curve.depth_mm))
    ]
    return Table(
        caption=f"Deflection against {curve.fed.quantity} with the {title_of(stack)}",
        meaning=(
            f"{GIVES_WAY[curve.fed]} Radial is away from the work, axial toward the "
            "tailstock, vertical up."
        ),
        head=(
            f"{size} set (mm)",
            f"{size} cut (mm)",
            *(f"{axis} force (N)" for axis in AXES),
            *(f"{axis} (µm)" for axis in AXES),
            f"{error_name(stack)} (µm)",
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
