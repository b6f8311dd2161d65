"""The `stoutpost` command: its sub-commands, and what becomes of their failures."""

import atexit
import gc
import os
import sys
from collections.abc import Sequence
from io import TextIOWrapper

import click

from fea.app.check_command import check
from fea.app.export_command import export
from fea.app.fit_command import fit
from fea.app.record_command import record
from fea.app.report_command import report
from fea.app.sheet_command import sheet
from fea.app.study_command import study
from fea.app.tap_command import tap
from geometry.errors import StoutpostError


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="stoutpost")
def stoutpost() -> None:
    """Stiffness and deflection of a lathe's tool post, against the four-way block.

    A case is one TOML file that describes the lathe, the post and the cut.
    """


stoutpost.add_command(check)
stoutpost.add_command(export)
stoutpost.add_command(fit)
stoutpost.add_command(record)
stoutpost.add_command(report)
stoutpost.add_command(sheet)
stoutpost.add_command(study)
stoutpost.add_command(tap)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line; an expected failure is one clear message, no traceback.

    Parameters
    ----------
    arguments : what stands after the command's name; None for the process's own
    """
    # No other package's plugin is to change how a case is read, or is searched for.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # Looking through everything for cycles once more takes a tenth of `check`.
    atexit.register(gc.freeze)
    for stream in (sys.stdout, sys.stderr):
        # A title may hold a letter that the terminal cannot show.
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
    try:
        stoutpost(args=arguments, prog_name="stoutpost")
    except StoutpostError as error:
        for line in str(error).splitlines():
            click.echo(f"stoutpost: {line}", err=True)
        sys.exit(error.exit_code)
