"""`stoutpost fit`: hold a case's prediction against what was measured."""

import os
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import click

from fea.app.case_argument import case_argument
from fea.app.out_option import RESULTS, out_option

if TYPE_CHECKING:
    from fea.case.case_file import CaseReading
    from fea.measurement.fit_records import RecordFit
    from fea.study.update import Bench, Update


@click.command()
@case_argument
@click.argument("records", nargs=-1, required=True, type=click.Path(path_type=Path))
@out_option("results/ and the case's name")
@click.option(
    "--study",
    is_flag=True,
    help="Run the [study] of CASE before and after, too: is it still the best design?",
)
def fit(case: Path, records: Sequence[Path], out: Path | None, study: bool) -> None:
    """Fit CASE to RECORDS: who gives way, and what to measure next.

    RECORDS are files as `stoutpost record` writes them, filled in. Whatever is wrong
    with the case, the records or the folder is said before anything is computed, but
    for a spot that is not on its part. Machine off and unable to start while you push,
    measure or tap on it.
    """
    # Imported when it is needed: --help need not wait for it.
    from fea.analysis.sound_case import read_case
    from fea.report.fit_write import FILES
    from fea.report.staging import require_writable
    from fea.study.update import require_study

    reading = read_case(case)
    if study:
        require_study(reading)
    folder = out or RESULTS / reading.path.stem
    require_writable(folder, FILES)
    click.echo(_write(reading, records, folder, study))


def _write(
    reading: "CaseReading", records: Sequence[Path], folder: Path, study: bool
) -> Path:
    """Fit and write, showing each stage; return the page."""
    from fea.analysis.build import default_cache
    from fea.analysis.stack_answer import answer_stage_count
    from fea.app.progress import stages
    from fea.measurement.fit_records import STAGES as FIT_STAGES
    from fea.measurement.fit_records import fit_records
    from fea.measurement.keepers import keepers
    from fea.measurement.read_records import read_records
    from fea.report.fit_write import STAGES, write_fit
    from fea.study.update import Bench, stage_count

    case, workers, cache = reading.case, os.cpu_count() or 1, default_cache()
    count = answer_stage_count(case) + len(FIT_STAGES) + len(STAGES)
    count += stage_count(case.study) if study else 0
    with ExitStack() as started:
        who = started.enter_context(keepers(case, cache, workers))
        measured = read_records(records)
        with stages(count) as on_stage:
            found = fit_records(measured, who, on_stage)
            # A study needs their room.
            started.close()
            bench = Bench(folder=folder, cache=cache, workers=workers)
            update = _update(reading, found, bench, on_stage) if study else None
            return write_fit(reading, found, update, bench, on_stage)


def _update(
    reading: "CaseReading",
    found: "RecordFit",
    bench: "Bench",
    on_stage: Callable[[str], None],
) -> "Update":
    """Run the case's study with the expected and with the fitted constants."""
    from fea.case.case_file import reading_of
    from fea.report.fit_write import CALIBRATED, calibrated_of
    from fea.study.update import updated

    calibrated = reading_of(bench.folder / CALIBRATED, calibrated_of(reading, found))
    return updated(reading, calibrated, bench, on_stage)
