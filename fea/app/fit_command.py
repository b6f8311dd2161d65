"""`stoutpost fit`: correct a case by what was measured on the machine."""

import os
from pathlib import Path
from typing import TYPE_CHECKING

import click

from fea.app.case_argument import case_argument
from fea.app.out_option import RESULTS, out_option

if TYPE_CHECKING:
    from fea.case.case_file import CaseReading
    from fea.measurement.record import Records


@click.command()
@case_argument
@click.argument("records", nargs=-1, required=True, type=click.Path(path_type=Path))
@out_option("results/ and the case's name and -fit")
def fit(case: Path, records: tuple[Path, ...], out: Path | None) -> None:
    """Fit CASE to what was measured, RECORDS of any kinds, and say who is to blame.

    Writes a page, the calibrated case that every other command takes, and the sets of
    constants that its bands are made of.
    """
    # Imported when it is needed: --help need not wait for it.
    from fea.case.case_file import read_case
    from fea.measurement.read_records import read_records

    reading, found = read_case(case), read_records(records)
    page = _write(reading, found, out or RESULTS / f"{reading.path.stem}-fit")
    click.echo(page)


def _write(reading: "CaseReading", records: "Records", folder: Path) -> Path:
    """Fit, and return the page, showing each stage."""
    from fea.report.fit_write import FILES, write_fit
    from fea.report.staging import require_writable

    require_writable(folder, FILES)

    from fea.analysis.build import PLANS, build_stack, default_cache, plan_stack
    from fea.analysis.stack_answer import answer_stage_count
    from fea.analysis.stack_names import QUICK_CHANGE
    from fea.app.progress import stages
    from fea.measurement.fit_records import OWN_STAGES, fit_records
    from fea.measurement.fitted_values import meanings

    case, cache = reading.case, default_cache()
    workers = os.cpu_count() or 1
    with stages(answer_stage_count(case) + OWN_STAGES + 1) as on_stage:
        found = fit_records(case, records, cache, workers, on_stage)
        on_stage("writing the page")
        plans = [plan_stack(case, name) for name in PLANS]
        return write_fit(
            case,
            reading.path.read_text(encoding="utf-8-sig"),
            found,
            meanings(case, plans, found.fit.model.unknowns),
            build_stack(case, QUICK_CHANGE, cache).parts,
            folder,
        )
