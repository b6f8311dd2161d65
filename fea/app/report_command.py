"""`stoutpost report`: compute both stacks of a case and write what was found."""

import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from fea.app.case_argument import case_argument
from fea.app.out_option import RESULTS, out_option

if TYPE_CHECKING:
    from fea.case.case_file import CaseReading


@click.command()
@case_argument
@out_option("results/ and the case's name")
@click.option(
    "--simulate",
    is_flag=True,
    help="Follow some cuts through time, too; takes 10 to 30 s more.",
)
def report(case: Path, out: Path | None, simulate: bool) -> None:
    """Compute both stacks of CASE and write the report.

    Whatever is wrong with the case or the folder is said before anything is computed.
    """
    # Imported when it is needed: --help and `check` need not wait for it.
    from fea.analysis.sound_case import read_case

    reading = read_case(case)
    page = _write(reading, out or RESULTS / reading.path.stem, simulate)
    click.echo(page)


def _write(reading: "CaseReading", folder: Path, simulate: bool) -> Path:
    """Compute both stacks and return the report's page, showing each stage."""
    from fea.report.staging import require_writable
    from fea.report.write import files, write_report

    require_writable(folder, files(simulate))

    from fea.analysis.run import analyse, stage_count
    from fea.app.case_rows import case_summary
    from fea.app.progress import stages
    from fea.report.hands import drawing_hands
    from fea.report.write import STAGES

    workers = os.cpu_count() or 1
    count = stage_count(reading.case, simulate) + len(STAGES)
    with drawing_hands(workers) as hands, stages(count) as on_stage:
        found = analyse(
            reading.case, workers=workers, on_stage=on_stage, simulate=simulate
        )
        summary = case_summary(reading)
        return write_report(*found, summary, folder, on_stage, hands)
