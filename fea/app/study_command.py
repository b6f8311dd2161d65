"""`stoutpost study`: compute many designs of a case and say which one to make."""

from pathlib import Path

import click

from fea.app.case_argument import case_argument
from fea.app.out_option import RESULTS, out_option


@click.command()
@case_argument
@out_option("results/ and the case's name")
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
    from fea.analysis.sound_case import read_case
    from fea.app.progress import countdown
    from fea.report.staging import require_writable
    from fea.report.study_write import FILES, write_study
    from fea.study.search import search, solves_at_most

    reading = read_case(case)
    folder = out or RESULTS / reading.path.stem
    require_writable(folder, FILES)
    most = solves_at_most(reading.case.study)
    with countdown(most, "designs") as on_done:
        finished = search(
            reading, folder, workers=workers, address=cluster, on_done=on_done
        )
    click.echo(write_study(reading.case, finished, folder))
