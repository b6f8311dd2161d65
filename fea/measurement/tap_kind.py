"""Tap tests: peaks that were found, or the recordings to find them in."""

from fea.case.field_kind import Quantity, Words, refuse
from fea.case.unit_registry import DAMPING, FREQUENCY
from fea.measurement.column import Column
from fea.measurement.place_words import HeadingWords
from fea.measurement.record import TapResult
from fea.measurement.record_kind import (
    DEVIATION,
    STACK,
    STILL,
    RecordKind,
    Row,
    place_columns,
)
from fea.measurement.tap_blow import Blow

# A row has these, or the recording that they are found in.
PEAK_COLUMNS = (
    "frequency",
    "frequency uncertainty",
    "damping",
    "damping uncertainty",
)


def blow_of(row: Row) -> Blow:
    """Return how the stack of a row was struck and heard."""
    return Blow(
        stack=row.values["stack"],
        struck=row.spot("struck"),
        struck_along=row.values["strike direction"],
        heard=None if row.values["heard part"] is None else row.spot("heard"),
    )


def tap_of(row: Row) -> TapResult:
    """Return the peak of a row."""
    values = row.values
    missing = [name for name in PEAK_COLUMNS if values[name] is None]
    if missing:
        refuse(
            f"{' and '.join(missing)} left empty; fill {', '.join(PEAK_COLUMNS)}, or "
            "name a recording and leave them all empty"
        )
    blow = blow_of(row)
    return TapResult(
        stack=blow.stack,
        struck=blow.struck,
        struck_along=blow.struck_along,
        heard=blow.heard,
        frequency_hz=values["frequency"],
        frequency_sd_hz=values["frequency uncertainty"],
        damping_ratio=values["damping"],
        damping_sd=values["damping uncertainty"],
        source=row.source,
    )


TAP = RecordKind(
    name="tap",
    title="Tap test: at which frequencies the stack rings, and how soon it is still",
    columns=(
        STACK,
        *place_columns("struck", "hammer"),
        Column(
            name="strike direction",
            kind=HeadingWords(),
            about="way of the blow, in the words of a push test",
        ),
        *place_columns("heard", "sensor", needed=False),
        Column(
            name="recording",
            kind=Words(300),
            about="WAV or CSV file beside this one; then leave the next four empty",
            needed=False,
        ),
        Column(
            name="frequency",
            kind=Quantity(FREQUENCY, 1.0, 20000.0),
            about="of the peak",
            unit="Hz",
            needed=False,
        ),
        Column(
            name="frequency uncertainty",
            kind=Quantity(FREQUENCY, 1e-6, 1000.0),
            about=DEVIATION,
            unit="Hz",
            needed=False,
        ),
        Column(
            name="damping",
            kind=Quantity(DAMPING, 1e-5, 0.5),
            about="share of critical damping",
            unit="%",
            needed=False,
        ),
        Column(
            name="damping uncertainty",
            kind=Quantity(DAMPING, 1e-7, 0.5),
            about=DEVIATION,
            unit="%",
            needed=False,
        ),
    ),
    build=tap_of,
    about=(
        "Tap five times or more, a second or two apart, in a quiet room, with a small "
        "hammer or a brass drift.",
        "Lay the phone close by, not on the machine; record WAV, not m4a or mp3.",
        "heard is the part that an accelerometer sits on; empty for a microphone.",
        "`stoutpost tap` makes such a file from recordings, with a picture.",
    ),
    cautions=(
        *STILL,
        "Wear eye protection: a hardened edge may chip. Never tap on carbide.",
    ),
    examples=(
        "four-way,tip,,,,radial,,,,,,231.5,0.6,3.1,0.3",
        "quick-change,tip,,,,down,,,,,taps_down.wav,,,,",
    ),
)
