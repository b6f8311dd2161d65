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
    from fea.report.study_write import FILES, RECOMMENDED, write_study
    from fea.study.recommended_case import text_of
    from fea.study.search import search, solves_at_most

    # Now, because the file may be edited while the designs are computed.
    reading, said = read_case(case), text_of(case)
    folder = out or RESULTS / reading.path.stem
    require_writable(folder, FILES)
    _require_other(case, folder / RECOMMENDED)
    most = solves_at_most(reading.case.study)
    with countdown(most, "designs") as on_done:
        finished = search(
            reading, folder, workers=workers, address=cluster, on_done=on_done
        )
    click.echo(write_study(reading.case, said, finished, folder))


def _require_other(case: Path, written: Path) -> None:
    """Refuse to write the recommended design over the case whose study it is."""
    from geometry.errors import InputError

    if written.exists() and written.samefile(case):
        message = (
            f"--out {written.parent}: {written.name} in it is the case itself and "
            "would be written over; name another folder, or rename the case"
        )
        raise InputError(message)
