"""Tables of joints, stresses and what stays after a cut."""

from fea.analysis.member import group_of
from fea.analysis.result import (
    AXES,
    COARSE,
    Comparison,
    JointResult,
    LoadCycle,
    StackResult,
    StressPeak,
)
from fea.report.motion import deepest
from fea.report.number import between, percent, rounded, setting
from fea.report.onset import by_group
from fea.report.palette import title_of, titles
from fea.report.size_error import error_band_um, error_name
from fea.report.table import NOT_THERE, Table
from fea.report.verdict import SAFE

LIKE_UM, LIKE_N_MM = 1.0, 0.1
"""Decimals of what stays and is lost: without slip they are rounding, and read 0."""


def joints_table(stack: StackResult) -> Table:
    """Tell forces, margins and beginnings of slip and lift, joint by joint."""
    depth = setting(deepest(stack))
    return Table(
        caption=f"Joints with the {title_of(stack)}",
        meaning=(
            "Force presses the faces together. Friction used is the shear over the "
            "most that friction carries: at 100 % the whole joint slides. The last "
            f"columns tell from which {stack.curve.fed.quantity} on; “{NOT_THERE}” is "
            f"not up to {depth} mm. Ways and gib are pressed together lightly, so that "
            "they can be moved, and slip or even lift early: that is normal. A joint "
            "of tool, holder or post that does so wants more clamping. A set screw or "
            "piston touches with its point, which slips or lifts as a whole. Shank and "
            "slot wall are only laid together: the cut presses them, and nothing "
            "begins."
        ),
        head=(
            "joint",
            "group",
            "force clamped (N)",
            f"force at {depth} mm (N)",
            "friction used",
            "area that slips",
            "open clamped",
            f"open at {depth} mm",
            "slips from (mm)",
            "lifts from (mm)",
        ),
        rows=tuple(_joint_row(joint) for joint in by_group(stack)),
        n_words=2,
    )


def stress_table(stack: StackResult) -> Table:
    """Peaks by feature and their safety factors; mesh-limited values stand last."""
    peaks = sorted(stack.stresses, key=lambda peak: (peak.mesh_limited, peak.safety))
    sources = dict.fromkeys(peak.material for peak in peaks)
    return Table(
        caption=f"Stresses with the {title_of(stack)}",
        meaning=(
            "Von Mises stress of clamping and the deepest cut together; the safety "
            "factor is the yield strength over it. Inner corners are modelled sharp: "
            "at the edge itself the stress grows with every finer mesh and means "
            "nothing, the true one depends on the fillet. Such values are called "
            "mesh-limited and get no safety factor; the value that counts for a "
            "corner is read a small distance away from it, which the table tells. "
            "Leave a fillet there. Coarse: the elements that meet there differ from "
            f"the value by more than {COARSE:.0%}, so take it as a guide, and a "
            "smaller numerics.mesh_size for a better one. Strength: "
            f"{'; '.join(sources)}."
        ),
        head=(
            "part",
            "where",
            "value",
            "stress (MPa)",
            "elements differ (MPa)",
            "yield (MPa)",
            "safety",
        ),
        rows=tuple(_stress_row(peak) for peak in peaks),
        n_words=3,
        marked=tuple(
            number
            for number, peak in enumerate(peaks)
            if not peak.mesh_limited and peak.safety < SAFE
        ),
    )


def cycle_table(comparison: Comparison) -> Table:
    """Tell what stays when the deepest cut is taken off, and what a cycle costs."""
    stacks = (comparison.quick_change, comparison.four_way)
    columns = [_cycle_column(stack.cycle) for stack in stacks]
    names = (*(f"stays: {axis} (µm)" for axis in AXES), "work lost in a cycle (N mm)")
    return Table(
        caption="Unloading from the deepest cut",
        meaning=(
            "Where joints slip, the tip does not come all the way back, and a cycle of "
            f"unloading and loading costs work, which damps vibration. “{NOT_THERE}”: "
            "no equilibrium was found on the way back."
        ),
        head=("", *titles(comparison)),
        rows=tuple(
            (name, *cells) for name, *cells in zip(names, *columns, strict=True)
        ),
    )


def bands_table(comparison: Comparison) -> Table:
    """5 to 95 % of what uncertain joints, ground and clamping forces allow."""
    stacks = (comparison.quick_change, comparison.four_way)
    columns = [_band_column(stack) for stack in stacks]
    samples = comparison.quick_change.bands.samples
    return Table(
        caption="Bands",
        meaning=(
            f"5 to 95 % of {samples} sets of joint constants, ground stiffness and "
            "clamping forces, drawn from what the literature allows; sets with which a "
            "joint is lost before the deepest cut are counted in the last row and left "
            "out of the others. bands.csv holds more depths, summary.json every band."
        ),
        head=("", *titles(comparison)),
        rows=tuple((name, *(c[name] for c in columns)) for name in columns[0]),
    )


def _band_column(stack: StackResult) -> dict[str, str]:
    bands = stack.bands
    column = {
        "deepest cut that holds (mm)": setting(deepest(stack)),
        "stiffness along the cutting force there (N/µm)": between(
            *bands.stiffness_n_per_um
        ),
    }
    for number, axis in enumerate(AXES):
        name = f"{axis} deflection there (µm)"
        column[name] = between(*bands.deflection_um[:, -1, number])
    column[f"{error_name(stack)} there (µm)"] = between(*error_band_um(stack)[:, -1])
    for number, axis in enumerate(AXES):
        name = f"{axis} compliance, clamped, small forces (µm/N)"
        column[name] = between(*bands.compliance_um_per_n[:, number, number])
    column["sets that lose a joint"] = percent(bands.lost)
    return column


def _cycle_column(cycle: LoadCycle | None) -> list[str]:
    if cycle is None:
        return [NOT_THERE] * (len(AXES) + 1)
    stays = [rounded(float(value), like=LIKE_UM) for value in cycle.residual_um]
    return [*stays, rounded(cycle.loss_n_mm, like=LIKE_N_MM)]


def _stress_row(peak: StressPeak) -> tuple[str, ...]:
    return (
        peak.part,
        peak.feature,
        _kind(peak),
        rounded(peak.von_mises_mpa),
        rounded(peak.spread_mpa, like=peak.von_mises_mpa / 10.0),
        rounded(peak.yield_mpa),
        NOT_THERE if peak.mesh_limited else rounded(peak.safety),
    )


def _kind(peak: StressPeak) -> str:
    if peak.mesh_limited:
        return "at the edge, mesh-limited"
    where = "" if peak.distance_mm is None else f", {setting(peak.distance_mm)} mm off"
    return f"{'coarse' if peak.coarse else 'counts'}{where}"


def _joint_row(joint: JointResult) -> tuple[str, ...]:
    begins = (
        NOT_THERE if depth is None else setting(depth)
        for depth in (joint.slips_at_mm, joint.lifts_at_mm)
    )
    return (
        joint.name,
        str(group_of(joint.name)),
        rounded(joint.clamped_force_n),
        rounded(joint.loaded_force_n),
        percent(joint.slip_use),
        percent(joint.slipping),
        percent(joint.open_clamped),
        percent(joint.open_loaded),
        *begins,
    )
