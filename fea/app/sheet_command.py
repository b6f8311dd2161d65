"""`stoutpost sheet`: one page about the post to take to the machine."""

from pathlib import Path

import click

from fea.app.case_argument import case_argument
from fea.app.out_option import RESULTS, out_option


@click.command()
@case_argument
@out_option("results/ and the case's name")
@click.option(
    "--units",
    type=click.Choice(["mm", "in"]),
    default="mm",
    show_default=True,
    help="in: inches in brackets beside mm, and pins in fractions of an inch.",
)
def sheet(case: Path, out: Path | None, units: str) -> None:
    """Write the shop sheet of CASE: drawing, limits, sizes over pins, torques.

    One page, A4 upright, and its drawing as SVG and PDF.
    """
    # Imported when it is needed: --help need not wait for it.
    from fea.analysis.sound_case import read_case
    from fea.app.progress import stages
    from fea.case.wording import Units
    from fea.report.shop_sheet import FILES, write_sheet
    from fea.report.staging import require_writable

    reading = read_case(case)
    folder = out or RESULTS / reading.path.stem
    require_writable(folder, FILES)
    with stages(1) as on_stage:
        on_stage("drawing the parts")
        page = write_sheet(reading, Units(units), folder)
    click.echo(page)
