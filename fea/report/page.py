"""Report pages: one HTML file each that needs nothing else."""

from fea.analysis.chatter_result import Chatter
from fea.analysis.result import Comparison
from fea.report.case_summary import CaseSummary
from fea.report.chatter_simulation import NAME as SIMULATION
from fea.report.chatter_simulation_table import simulation_table
from fea.report.chatter_verdict import chatter_verdict
from fea.report.image import Image
from fea.report.motion import deepest_of_both
from fea.report.table import Table
from fea.report.tables import case_table, result_tables
from fea.report.template import render
from fea.report.verdict import verdict

TEMPLATE = "page.html"
STYLE = "page.css"


def render_page(
    comparison: Comparison,
    chatter: Chatter,
    case: CaseSummary,
    images: tuple[Image, ...],
) -> str:
    """Verdict first, then warnings, pictures, tables, assumptions, cautions."""
    return render(
        TEMPLATE,
        STYLE,
        case=case,
        verdict=verdict(comparison),
        chatter=chatter_verdict(chatter, deepest_of_both(comparison)),
        warnings=(*comparison.warnings, *chatter.warnings),
        notes=(*comparison.notes, *chatter.notes),
        solver=comparison.solver,
        images=[image for image in images if image.name != SIMULATION],
        simulation=_simulation(chatter, images),
        tables=result_tables(comparison, chatter),
        case_table=case_table(case),
    )


def _simulation(
    chatter: Chatter, images: tuple[Image, ...]
) -> tuple[list[Image], Table] | None:
    """Picture, if there is one, and table of the simulated cuts, if there are any."""
    if chatter.simulated is None:
        return None
    pictures = [image for image in images if image.name == SIMULATION]
    return pictures, simulation_table(chatter.simulated, chatter.quantity)
