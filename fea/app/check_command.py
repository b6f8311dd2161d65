"""`stoutpost check`: what was understood of a case, and what follows from it."""

from pathlib import Path
from shutil import get_terminal_size

import click

from fea.app.case_argument import case_argument


@click.command()
@case_argument
@click.option(
    "--units",
    type=click.Choice(["mm", "in"]),
    default="mm",
    show_default=True,
    help="Units to show; the case file may mix them as it likes.",
)
def check(case: Path, units: str) -> None:
    """Show what is understood of CASE, every default taken, and what follows.

    Reads and checks the case file and writes nothing.
    """
    # Reading a case brings in the schema's library, which --help need not wait for.
    from fea.analysis.sound_case import read_case
    from fea.app.check_page import check_page
    from fea.case.wording import Units

    width = get_terminal_size().columns
    click.echo("\n".join(check_page(read_case(case), Units(units), width)))
