"""The shop sheet: one page to take to the machine, and its drawing."""

from pathlib import Path

from fea.case.case_file import CaseReading
from fea.case.caution import cautions
from fea.case.wording import Units
from fea.report.image import inline_svg
from fea.report.shop_sheet_drawing import draw_sheet
from fea.report.shop_sheet_parts import sheet_parts
from fea.report.shop_sheet_pins import pin_sentences, pin_table
from fea.report.shop_sheet_setups import setups
from fea.report.shop_sheet_sizes import Sizes
from fea.report.shop_sheet_tables import (
    limit_table,
    play_sentence,
    screw_table,
    stock_table,
    wedge_sentences,
)
from fea.report.staging import staged
from fea.report.template import render

PAGE = "shop_sheet.html"
DRAWING_SVG = "shop_sheet_drawing.svg"
DRAWING_PDF = "shop_sheet_drawing.pdf"
FILES = (PAGE, DRAWING_SVG, DRAWING_PDF)

TEMPLATE = "shop_sheet.html"
STYLE = "shop_sheet.css"


def write_sheet(reading: CaseReading, units: Units, folder: Path) -> Path:
    """Write all of `FILES` into a folder, or none of them.

    Parameters
    ----------
    reading : of the case
    units : mm, or inches in brackets beside them
    folder : made if it does not exist; other files in it are left alone

    Returns
    -------
    the page
    """
    case, sizes = reading.case, Sizes(units=units)
    parts = sheet_parts(case, units)
    drawing = draw_sheet(parts, sizes, _footer(reading, units))
    page = render(
        TEMPLATE,
        STYLE,
        title=case.title,
        drawing=inline_svg(drawing.svg, "drawing"),
        tables=(
            (limit_table(parts, sizes), (play_sentence(case, parts, sizes),)),
            (pin_table(parts, sizes), pin_sentences(parts, sizes)),
            (screw_table(case, sizes), tuple(wedge_sentences(case, sizes))),
            (stock_table(case, parts, sizes), ()),
        ),
        setups=setups(case, parts, sizes),
        cautions=cautions(case, units),
    )
    with staged(folder) as place:
        (place / PAGE).write_text(page, encoding="utf-8")
        (place / DRAWING_SVG).write_text(drawing.svg, encoding="utf-8")
        (place / DRAWING_PDF).write_bytes(drawing.pdf)
    return folder / PAGE


def _footer(reading: CaseReading, units: Units) -> str:
    lengths = "mm [in]" if units is Units.INCH else "mm"
    return (
        f"{reading.path.name}, {lengths}. From above: work on the left, headstock "
        "below; edges of the solids that are meshed."
    )
