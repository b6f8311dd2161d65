"""The comparison as numbers for other programs: `summary.json` and its schema."""

from typing import Literal, Self

from pydantic import Field

from fea.analysis.chatter_result import Chatter
from fea.analysis.result import AXES, Comparison
from fea.report.case_summary import CaseSummary
from fea.report.chatter_summary import ChatterSummary, chatter_summary
from fea.report.motion import common_depth, deepest_of_both, stiffness_ratio
from fea.report.stack_summary import Record, StackSummary, stack_summary
from fea.report.verdict import verdict

SCHEMA_VERSION: Literal[3] = 3
"""Raised whenever a key is renamed or removed or changes its meaning."""


class CaseValue(Record):
    """One line of the case as it was understood."""

    section: str
    key: str
    value: str = Field(description="with its unit")
    is_default: bool


class Summary(Record):
    """What `summary.json` holds; `Summary.model_json_schema()` is its JSON Schema."""

    schema_version: Literal[3] = SCHEMA_VERSION
    title: str
    about: str
    verdict: str
    warnings: tuple[str, ...] = Field(description="what makes the numbers doubtful")
    notes: tuple[str, ...] = Field(description="what was assumed")
    solver: str
    axes: tuple[str, str, str] = Field(
        default=AXES, description="order of every vector and matrix in this file"
    )
    compared_depth_mm: float = Field(description="deepest cut that both stacks hold")
    stiffness_ratio: float = Field(description="quick-change over four-way, there")
    ratio_band: tuple[float, float] = Field(description="5 and 95 % of it")
    quick_change: StackSummary
    four_way: StackSummary
    chatter: ChatterSummary
    case: tuple[CaseValue, ...]

    @classmethod
    def of(cls, comparison: Comparison, chatter: Chatter, case: CaseSummary) -> Self:
        """Collect the numbers of both analyses and the words of their case."""
        low, high = comparison.ratio_band.tolist()
        return cls(
            title=case.title,
            about=case.about,
            verdict=verdict(comparison).text,
            warnings=(*comparison.warnings, *chatter.warnings),
            notes=(*comparison.notes, *chatter.notes),
            solver=comparison.solver,
            compared_depth_mm=common_depth(comparison),
            stiffness_ratio=stiffness_ratio(comparison),
            ratio_band=(low, high),
            quick_change=stack_summary(comparison.quick_change),
            four_way=stack_summary(comparison.four_way),
            chatter=chatter_summary(chatter, deepest_of_both(comparison)),
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
