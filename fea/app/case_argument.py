"""The case file as an argument, the same for every command."""

from pathlib import Path

import click

# Whether it can be read is for the case reader to say: its messages say what to do.
case_argument = click.argument("case", type=click.Path(path_type=Path))
