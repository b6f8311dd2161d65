"""The option that tells where a command writes."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

RESULTS = Path("results")


def out_option(default: str) -> Callable[[Any], Any]:
    """Return the option `--out`; `default` tells in words where it goes without."""
    return click.option(
        "--out",
        type=click.Path(path_type=Path),
        help=f"Folder to write into.  [default: {default}]",
    )
