"""`stoutpost export`: the parts of a case and its stacks as STEP files."""

from pathlib import Path

import click

from fea.app.case_argument import case_argument
from fea.app.out_option import RESULTS, out_option

BOTH, QUICK_CHANGE, FOUR_WAY = "both", "quick-change", "four-way"


@click.command()
@case_argument
@out_option("results/, the case's name and step/")
@click.option(
    "--stack",
    type=click.Choice([BOTH, QUICK_CHANGE, FOUR_WAY]),
    default=BOTH,
    show_default=True,
    help="Which stacks to write, with their parts.",
)
def export(case: Path, out: Path | None, stack: str) -> None:
    """Write the parts of CASE and its stacks, put together, as STEP files.

    They are the solids that are meshed, with names and in millimetres.
    """
    # Imported when it is needed: --help need not wait for it.
    from fea.analysis.build import plan_stack
    from fea.analysis.sound_case import read_case
    from fea.app.progress import stages
    from fea.report.staging import require_writable
    from fea.report.step_export import export_steps, step_names

    reading = read_case(case)
    names = (QUICK_CHANGE, FOUR_WAY) if stack == BOTH else (stack,)
    plans = [plan_stack(reading.case, name) for name in names]
    folder = out or RESULTS / reading.path.stem / "step"
    require_writable(folder, step_names(plans))
    with stages(len(step_names(plans))) as on_stage:
        paths = export_steps(plans, folder, on_stage)
    click.echo("\n".join(str(path) for path in paths))
