"""The report's tables: numbers as text, with a sentence on what they mean."""

from fea.analysis.chatter_result import Chatter
from fea.analysis.result import Comparison
from fea.report.case_summary import CaseSummary
from fea.report.chatter_tables import chatter_tables
from fea.report.joint_tables import (
    bands_table,
    cycle_table,
    joints_table,
    stress_table,
)
from fea.report.mesh_table import mesh_table
from fea.report.share_tables import groups_table, members_table
from fea.report.stiffness_tables import (
    compliance_tables,
    curve_table,
    stiffness_table,
)
from fea.report.table import Table


def result_tables(comparison: Comparison, chatter: Chatter) -> tuple[Table, ...]:
    """All numbers of both analyses, the most useful first."""
    stacks = (comparison.quick_change, comparison.four_way)
    return (
        stiffness_table(comparison),
        *chatter_tables(chatter),
        bands_table(comparison),
        *(joints_table(stack) for stack in stacks),
        *(stress_table(stack) for stack in stacks),
        cycle_table(comparison),
        *(table for stack in stacks for table in compliance_tables(stack)),
        *(curve_table(stack) for stack in stacks),
        groups_table(comparison),
        members_table(comparison),
        *(mesh_table(stack) for stack in stacks),
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
