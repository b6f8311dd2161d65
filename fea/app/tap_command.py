"""`stoutpost tap`: what recordings of a tap test show."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from fea.app.out_option import RESULTS, out_option

if TYPE_CHECKING:
    from fea.measurement.tap_blow import Blow

TABLE, PICTURE = "tap.csv", "tap_test.png"


@click.command()
@click.argument("recordings", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--stack",
    type=click.Choice(["quick-change", "four-way"]),
    required=True,
    help="Which stack stood on the slide.",
)
@click.option(
    "--along", required=True, help="Way of the blow: radial, axial, up, down, ..."
)
@click.option(
    "--struck", default="tip", show_default=True, help="Part that was struck."
)
@click.option(
    "--struck-at",
    nargs=3,
    metavar="RADIAL AXIAL VERTICAL",
    help="Where, from the nominal tool tip, as: 40mm 20mm -5mm.",
)
@click.option("--heard", help="Part the sensor sat on; leave out for a microphone.")
@click.option(
    "--heard-at",
    nargs=3,
    metavar="RADIAL AXIAL VERTICAL",
    help="Where the sensor sat, in the same way.",
)
@click.option(
    "--force-channel",
    type=int,
    help="Channel of a WAV file that holds the hammer's force; the first is 1.",
)
@out_option("results/ and the first recording's name")
def tap(
    recordings: tuple[Path, ...],
    stack: str,
    along: str,
    struck: str,
    struck_at: tuple[str, str, str] | None,
    heard: str | None,
    heard_at: tuple[str, str, str] | None,
    force_channel: int | None,
    out: Path | None,
) -> None:
    """Find peaks and damping in RECORDINGS (WAV or CSV) of one tap test.

    Writes a picture to check the picks by, and tap.csv, a record file of these peaks.
    Machine off and unable to start while you tap on it; eye protection on.
    """
    from fea.measurement.tap_words import blow_in_words

    blow = blow_in_words(stack, along, (struck, struck_at), (heard, heard_at))
    folder = out or RESULTS / recordings[0].stem
    for line in _write(recordings, blow, force_channel, folder):
        click.echo(line)


def _write(
    recordings: tuple[Path, ...], blow: "Blow", force_channel: int | None, folder: Path
) -> list[str]:
    """Write both files and return what was found, and where it stands."""
    # Imported when it is needed: --help need not wait for it.
    from fea.measurement.tap_evaluation import evaluate_taps
    from fea.measurement.tap_recording import read_recording
    from fea.report.staging import require_writable, staged
    from fea.report.tap_file import tap_file, tap_lines
    from fea.report.tap_picture import tap_picture

    require_writable(folder, (TABLE, PICTURE))
    test = evaluate_taps([read_recording(path, force_channel) for path in recordings])
    with staged(folder) as place:
        (place / TABLE).write_text(tap_file(test, blow), encoding="utf-8")
        (place / PICTURE).write_bytes(tap_picture(test).png)
    return [*tap_lines(test), *(str(folder / name) for name in (TABLE, PICTURE))]
