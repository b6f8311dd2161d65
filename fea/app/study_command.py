"""`stoutpost study`: compute many designs of a case and say which one to make."""

import os
from pathlib import Path

import click

from fea.app.case_argument import case_argument

RESULTS = Path("results")


@click.command()
@case_argument
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Folder to write into.  [default: results/ and the case's name]",
)
@click.option(
    "--workers",
    type=click.IntRange(min=1),
    help="Processes of this computer.  [default: one a core]",
)
@click.option(
    "--cluster",
    metavar="ADDRESS",
    help="Scheduler that runs already, to use instead of this computer.",
)
def study(
    case: Path, out: Path | None, workers: int | None, cluster: str | None
) -> None:
    """Compute the designs that the [study] of CASE asks for, and compare them.

    May be interrupted at any time: what is finished stays in the folder, and the same
    command goes on from there.
    """
    # Imported when it is needed: --help and `check` need not wait for it.
    from fea.app.progress import countdown
    from fea.case.case_file import read_case
    from fea.report.staging import require_writable
    from fea.report.study_write import FILES, write_study
    from fea.study.designs import designs_of
    from fea.study.run import run_study

    reading = read_case(case)
    folder = out or RESULTS / reading.path.stem
    require_writable(folder, FILES)
    with countdown(len(designs_of(reading.case.study)), "designs") as on_done:
        finished = run_study(
            reading,
            folder,
            workers=workers or os.cpu_count() or 1,
            address=cluster,
            on_done=on_done,
        )
    click.echo(write_study(reading.case, finished, folder))
