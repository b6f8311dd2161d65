"""Tables of joints, stresses and what stays after a cut."""

from math import isfinite

from fea.analysis.result import AXES, Comparison, JointResult, StackResult
from fea.report.number import percent, rounded, setting
from fea.report.palette import STACK_STYLES
from fea.report.table import NOT_THERE, Table
from geometry.pad import FloatArray

WORST_SHOWN = 8
"""Stresses shown of each stack, the least safe ones."""


def joints_table(stack: StackResult) -> Table:
    """Tell forces, margins and beginnings of slip and lift, joint by joint."""
    return Table(
        caption=f"Joints with the {STACK_STYLES[stack.name].title}",
        meaning=(
            "Force presses the faces together. Friction used is the shear over the "
            "most that friction carries: at 100 % the whole joint slides. The ways "
            "slide and lift early, because they are made to move; a joint of the post "
            "that does so wants more clamping."
        ),
        head=(
            "joint",
            "clamped (N)",
            "under the cut (N)",
            "friction used",
            "slips on",
            "open: clamped, under the cut",
            "slips from (mm)",
            "lifts from (mm)",
        ),
        rows=tuple(_joint_row(joint) for joint in stack.joints),
    )


def stress_table(stack: StackResult) -> Table:
    """Peaks by feature and their safety factors, least safe first."""
    return Table(
        caption=f"Stresses with the {STACK_STYLES[stack.name].title}",
        meaning=(
            "Von Mises stress of clamping and the deepest cut together, and how many "
            "times the material's yield strength is that. A sharp inner corner has no "
            "stress of its own, it grows with every finer mesh: what is marked "
            "mesh-limited is worth nothing but a warning to leave a fillet there. The "
            "other values are read a small distance off."
        ),
        head=("part", "where", "stress (MPa)", "yield over stress", "note"),
        rows=tuple(
            (
                peak.part,
                peak.feature,
                rounded(peak.von_mises_mpa),
                rounded(peak.safety) if isfinite(peak.safety) else NOT_THERE,
                "mesh-limited" if peak.mesh_limited else "",
            )
            for peak in stack.stresses[:WORST_SHOWN]
        ),
        n_words=2,
    )


def cycle_table(comparison: Comparison) -> Table:
    """Tell what stays when the deepest cut is taken off, and what a cycle costs."""
    stacks = (comparison.quick_change, comparison.four_way)
    residual = [
        NOT_THERE
        if stack.cycle is None
        else ", ".join(rounded(float(value)) for value in stack.cycle.residual_um)
        for stack in stacks
    ]
    loss = [
        NOT_THERE if stack.cycle is None else rounded(stack.cycle.loss_n_mm)
        for stack in stacks
    ]
    return Table(
        caption="Unloading from the deepest cut",
        meaning=(
            "Where joints slip, the tip does not come all the way back, and a cycle of "
            "unloading and loading costs work, which damps vibration."
        ),
        head=("", *(STACK_STYLES[stack.name].title for stack in stacks)),
        rows=(
            (f"stays: {', '.join(AXES)} (µm)", *residual),
            ("work lost in a cycle (N mm)", *loss),
        ),
    )


def bands_table(comparison: Comparison) -> Table:
    """5 to 95 % of what the uncertain constants of joints and ground allow."""
    stacks = (comparison.quick_change, comparison.four_way)
    depth = setting(float(comparison.quick_change.bands.depth_mm[-1]))
    rows = [
        (
            "stiffness along the cutting force (N/µm)",
            *(_band(stack.bands.stiffness_n_per_um) for stack in stacks),
        ),
        (
            f"diameter error at {depth} mm (µm)",
            *(_band(stack.bands.diameter_error_um[:, -1]) for stack in stacks),
        ),
    ]
    for number, axis in enumerate(AXES):
        bands = (_band(stack.bands.deflection_um[:, -1, number]) for stack in stacks)
        rows.append((f"{axis} deflection at {depth} mm (µm)", *bands))
    lost = (percent(stack.bands.lost) for stack in stacks)
    rows.append(("constants with which a joint is lost", *lost))
    return Table(
        caption="Bands",
        meaning=(
            f"5 to 95 % of {comparison.quick_change.bands.samples} sets of joint "
            "constants and ground stiffness, drawn from what the literature allows. "
            "The ratio of both stiffnesses, with the same constants in both, lies "
            f"between {_band(comparison.ratio_band)}."
        ),
        head=("", *(STACK_STYLES[stack.name].title for stack in stacks)),
        rows=tuple(rows),
    )


def _band(ends: FloatArray) -> str:
    low, high = (rounded(float(end)) for end in ends)
    return f"{low} to {high}"


def _joint_row(joint: JointResult) -> tuple[str, ...]:
    begins = (
        NOT_THERE if depth is None else setting(depth)
        for depth in (joint.slips_at_mm, joint.lifts_at_mm)
    )
    return (
        joint.name,
        rounded(joint.clamped_force_n),
        rounded(joint.loaded_force_n),
        percent(joint.slip_use),
        percent(joint.slipping),
        f"{percent(joint.open_clamped)}, {percent(joint.open_loaded)}",
        *begins,
    )
