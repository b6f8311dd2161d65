"""Everything a run leaves behind for people and for other programs."""

from collections.abc import Callable
from pathlib import Path

from fea.analysis.chatter_result import Chatter
from fea.analysis.result import Comparison
from fea.report.band_file import write_bands
from fea.report.case_summary import CaseSummary
from fea.report.chatter_file import write_limits
from fea.report.chatter_simulation import NAME as SIMULATION_NAME
from fea.report.curve_file import write_curves
from fea.report.field_file import write_field
from fea.report.gallery import STAGES as DRAWING_STAGES
from fea.report.gallery import gallery
from fea.report.hands import Hands
from fea.report.page import render_page
from fea.report.staging import require_writable, staged
from fea.report.summary import Summary

REPORT = "report.html"
SUMMARY = "summary.json"
CURVES = "deflection.csv"
BANDS = "bands.csv"
LIMITS = "chatter.csv"
FIELDS = {
    "quick-change": "deformed_quick_change.vtu",
    "four-way": "deformed_four_way.vtu",
}
PICTURES = (
    "undeformed_quick_change.png",
    "undeformed_four_way.png",
    "deformed_quick_change.png",
    "deformed_four_way.png",
    "mode_quick_change.png",
    "mode_four_way.png",
    "deflection.png",
    "chatter_limits.png",
    "chatter_chance.png",
    "shares.png",
    "pressure_quick_change.png",
    "pressure_four_way.png",
)
SIMULATION = f"{SIMULATION_NAME}.png"
"""Only where cuts were followed through time and one of them chatters."""
ANIMATIONS = ("mode_quick_change.gif", "mode_four_way.gif")
STAGES = (*DRAWING_STAGES, "writing the report")
FILES = (
    REPORT,
    SUMMARY,
    CURVES,
    BANDS,
    LIMITS,
    *FIELDS.values(),
    *PICTURES,
    *ANIMATIONS,
)


def files(simulated: bool) -> tuple[str, ...]:
    """Return all that a report may write, with or without simulated cuts."""
    return (*FILES, SIMULATION) if simulated else FILES


def write_report(
    comparison: Comparison,
    chatter: Chatter,
    case_summary: CaseSummary,
    folder: Path,
    on_stage: Callable[[str], None],
    hands: Hands | None = None,
) -> Path:
    """Write all `files` into a folder, or none of them.

    Parameters
    ----------
    folder : made if it does not exist; other files in it are left alone
    on_stage : hears the name of each stage of the work
    hands : processes to draw with; see `gallery`

    Returns
    -------
    the report page
    """
    require_writable(folder, files(chatter.simulated is not None))
    summary = Summary.of(comparison, chatter, case_summary)
    images = gallery(comparison, chatter, on_stage, hands)
    on_stage(STAGES[-1])
    with staged(folder, files(simulated=True)) as place:
        for image in images:
            (place / image.file_name).write_bytes(image.png)
            if image.gif is not None:
                (place / image.gif_name).write_bytes(image.gif)
        for stack in (comparison.quick_change, comparison.four_way):
            write_field(stack.fields, place / FIELDS[stack.name])
        write_curves(comparison, place / CURVES)
        write_bands(comparison, place / BANDS)
        write_limits(chatter, place / LIMITS)
        text = summary.model_dump_json(indent=2) + "\n"
        (place / SUMMARY).write_text(text, encoding="utf-8")
        page = render_page(comparison, chatter, case_summary, images)
        (place / REPORT).write_text(page, encoding="utf-8")
    return folder / REPORT
