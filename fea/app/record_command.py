"""`stoutpost record`: an empty record file to write measurements into."""

from pathlib import Path

import click

from geometry.errors import InputError

KINDS = ("push", "spring", "cut", "tap")


@click.command()
@click.argument("kind", type=click.Choice(KINDS))
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="File to write; one that exists is left alone.  [default: KIND.csv]",
)
def record(kind: str, out: Path | None) -> None:
    """Write an empty record file of a KIND of measurement, explained in comments.

    push: push tests. spring: spring passes. cut: test cuts. tap: tap tests.
    """
    # Imported when it is needed: --help need not wait for it.
    from fea.measurement.record_kinds import KINDS as ALL
    from fea.measurement.record_template import record_template

    path = out or Path(f"{kind}.csv")
    _write_new(path, record_template(ALL[kind]))
    click.echo(path)


def _write_new(path: Path, text: str) -> None:
    """Write a file that does not exist yet."""
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError as error:
        message = (
            f"--out = {path}: exists already and may hold measurements; name another "
            "file, or move this one"
        )
        raise InputError(message) from error
    except OSError as error:
        message = f"--out = {path}: cannot be written ({error.strerror}); name another"
        raise InputError(message) from error
