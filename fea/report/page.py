"""The report page: one HTML file that needs nothing else."""

from importlib.resources import files

from fea.analysis.chatter_result import Chatter
from fea.analysis.result import Comparison
from fea.report.case_summary import CaseSummary
from fea.report.chatter_verdict import chatter_verdict
from fea.report.image import Image
from fea.report.motion import deepest_of_both
from fea.report.tables import case_table, result_tables
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
    return filled(
        TEMPLATE,
        case=case,
        verdict=verdict(comparison),
        chatter=chatter_verdict(chatter, deepest_of_both(comparison)),
        warnings=(*comparison.warnings, *chatter.warnings),
        notes=(*comparison.notes, *chatter.notes),
        solver=comparison.solver,
        images=images,
        tables=result_tables(comparison, chatter),
        case_table=case_table(case),
    )


def filled(template: str, **values: object) -> str:
    """Fill a template of this package; `style` is the pages' own."""
    import jinja2

    environment = jinja2.Environment(
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        loader=jinja2.FunctionLoader(_text),
    )
    found = environment.get_template(template)
    return found.render(style=_text(STYLE), **values)


def _text(name: str) -> str:
    return files("fea.report").joinpath(name).read_text(encoding="utf-8")
