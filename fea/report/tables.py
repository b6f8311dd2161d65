"""The report's tables: numbers as text, with a sentence on what they mean."""

from fea.analysis.result import AXES, Comparison, StackResult
from fea.report.case_summary import CaseSummary
from fea.report.field_file import FIRST_PART
from fea.report.joint_tables import (
    bands_table,
    cycle_table,
    joints_table,
    stress_table,
)
from fea.report.member import Group, group_fractions, group_of, merged
from fea.report.number import counted, percent, rounded, setting
from fea.report.palette import STACK_STYLES
from fea.report.share_bars import member_rows
from fea.report.table import NOT_THERE, Table
from fea.report.verdict import motion_along_force
from geometry.pad import FloatArray


def result_tables(comparison: Comparison) -> tuple[Table, ...]:
    """All numbers of the comparison, the most useful first."""
    stacks = (comparison.quick_change, comparison.four_way)
    return (
        _stiffness(comparison),
        bands_table(comparison),
        *(joints_table(stack) for stack in stacks),
        *(stress_table(stack) for stack in stacks),
        cycle_table(comparison),
        *(table for stack in stacks for table in _compliances(stack)),
        *(_curve(stack) for stack in stacks),
        _groups(comparison),
        _members(comparison),
        _frequencies(comparison),
        *(_meshes(stack) for stack in stacks),
    )


def case_table(case: CaseSummary) -> Table:
    """Show what was understood of the case; defaults are marked in words."""
    return Table(
        caption="The case as it was understood",
        meaning="“default” marks what the case file does not say: check those first.",
        head=("Section", "Value of", "Value", "From"),
        rows=tuple(
            (r.section, r.key, r.value, "default" if r.is_default else "case file")
            for r in case.rows
        ),
        n_words=4,
        marked=tuple(i for i, r in enumerate(case.rows) if r.is_default),
    )


def _title(stack: StackResult) -> str:
    return STACK_STYLES[stack.name].title


def _titles(comparison: Comparison) -> tuple[str, str]:
    return _title(comparison.quick_change), _title(comparison.four_way)


def _stiffness(comparison: Comparison) -> Table:
    new, old = comparison.quick_change, comparison.four_way
    depth = setting(float(new.curve.depth_mm[-1]))
    quantities = {
        "stiffness along the cutting force (N/µm)": [
            stack.stiffness_n_per_um for stack in (new, old)
        ],
        f"tip gives way along the force at {depth} mm (µm)": [
            motion_along_force(stack) for stack in (new, old)
        ],
        f"diameter error at {depth} mm (µm; positive: too large)": [
            float(stack.curve.diameter_error_um[-1]) for stack in (new, old)
        ],
    }
    rows = [
        (name, rounded(a), rounded(b), rounded(a / b) if a * b > 0.0 else NOT_THERE)
        for name, (a, b) in quantities.items()
    ]
    return Table(
        caption="Stiffness at the tool tip",
        meaning=(
            "Stiffness is the force it takes to push the tip one micrometre along "
            "the cutting force: more is better. The last column is post over block."
        ),
        head=("", *_titles(comparison), "ratio"),
        rows=tuple(rows),
    )


def _compliances(stack: StackResult) -> tuple[Table, Table]:
    return (
        _compliance(stack, stack.compliance_um_per_n, "clamped, small forces"),
        _compliance(stack, stack.working_compliance_um_per_n, "about the deepest cut"),
    )


def _compliance(stack: StackResult, matrix: FloatArray, state: str) -> Table:
    like = float(matrix.diagonal().min())
    return Table(
        caption=f"Compliance of the tip with the {_title(stack)}, {state} (µm/N)",
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


def _curve(stack: StackResult) -> Table:
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
        caption=f"Deflection against depth of cut with the {_title(stack)}",
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


def _groups(comparison: Comparison) -> Table:
    new, old = comparison.quick_change, comparison.four_way
    fractions = [group_fractions(stack.shares) for stack in (new, old)]
    motions = [motion_along_force(stack) for stack in (new, old)]
    rows = []
    for group in Group:
        a, b = (f[group] * m for f, m in zip(fractions, motions, strict=True))
        cells = [
            f"{percent(f[group])}, {rounded(size)} µm"
            for f, size in zip(fractions, (a, b), strict=True)
        ]
        rows.append((str(group), *cells, f"{rounded(a - b)} µm"))
    change = f"{rounded(motions[0] - motions[1])} µm"
    rows.append(("together", *(f"100 %, {rounded(m)} µm" for m in motions), change))
    return Table(
        caption="Where the motion comes from",
        meaning=(
            "Share of the tip's motion along the cutting force. “tool” is the bit "
            "with its seat and screws. The last column is what the change to the "
            "quick-change post costs (negative: gains) in each group."
        ),
        head=("", *_titles(comparison), "change"),
        rows=tuple(rows),
    )


def _members(comparison: Comparison) -> Table:
    shares = [
        {(share.kind, share.name): share.fraction for share in merged(stack.shares)}
        for stack in (comparison.quick_change, comparison.four_way)
    ]
    rows = [
        (
            name,
            str(kind),
            str(group_of(name)),
            *(
                percent(share[kind, name]) if (kind, name) in share else NOT_THERE
                for share in shares
            ),
        )
        for kind, name in member_rows(comparison)
    ]
    return Table(
        caption="Share of every part, joint and link",
        meaning=(
            "By elastic energy: the shares of one stack add up to the whole motion. "
            "Screws of one kind are added up."
        ),
        head=("member", "kind", "group", *_titles(comparison)),
        rows=tuple(rows),
        n_words=3,
    )


def _frequencies(comparison: Comparison) -> Table:
    new = comparison.quick_change.frequencies_hz
    old = comparison.four_way.frequencies_hz
    rows = [
        (
            str(mode + 1),
            *(
                rounded(float(values[mode])) if mode < len(values) else NOT_THERE
                for values in (new, old)
            ),
        )
        for mode in range(max(len(new), len(old)))
    ]
    return Table(
        caption="Natural frequencies (Hz)",
        meaning=(
            "Frequencies at which the stack rings by itself, lowest first. Chatter "
            "usually sits a little above one of the low ones."
        ),
        head=("mode", *_titles(comparison)),
        rows=tuple(rows),
    )


def _meshes(stack: StackResult) -> Table:
    rows = [
        (
            str(number),
            field.name,
            counted(len(field.tetrahedra)),
            counted(field.unknowns),
            rounded(field.mass_kg),
        )
        for number, field in enumerate(stack.fields, start=FIRST_PART)
    ]
    return Table(
        caption=f"Parts and meshes of the stack with the {_title(stack)}",
        meaning=(
            "The number is that in the picture and of the cell data “part” in the "
            ".vtu file of this stack."
        ),
        head=("part", "name", "tetrahedra", "unknowns", "mass (kg)"),
        rows=tuple(rows),
        n_words=2,
    )
