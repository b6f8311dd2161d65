"""What makes a kind of record: its columns, how it is measured, what is dangerous."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from fea.case.field_kind import Choice, Quantity
from fea.case.unit_registry import FEED, LENGTH
from fea.measurement.column import Column
from fea.measurement.place_words import PART_WORDS, STACKS, spot_of
from fea.measurement.record import (
    PushReading,
    Source,
    Spot,
    SpringPass,
    TapResult,
    TestCut,
)

Record = PushReading | SpringPass | TestCut | TapResult

# Wide limits: what is beyond them nobody measures on a small lathe. Smaller faults are
# for `fea.measurement.plausible`.
PLACE = Quantity(LENGTH, -1000.0, 1000.0)
READING = Quantity(LENGTH, -5.0, 5.0)
UNCERTAINTY = Quantity(LENGTH, 1e-9, 1.0)
DEPTH = Quantity(LENGTH, 0.001, 20.0)
FEED_RANGE = Quantity(FEED, 0.001, 2.0)

STACK = Column(
    name="stack",
    kind=Choice("stack", lambda: STACKS),
    about="which stack stood on the slide: quick-change or four-way",
)
DEVIATION = "one standard deviation: two readings in three fall within it"

STILL = (
    "Machine off and unable to start (plug out or isolator locked) while anyone "
    "pushes, reads or taps.",
)
TURNING = (
    "Guards in place and eye protection on whenever the spindle turns.",
    "Stop the spindle before you measure the work or reach for a chip.",
)

_WAYS = {
    "radial": "away from the work",
    "axial": "to the tailstock",
    "vertical": "up",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row of a record file, read.

    Parameters
    ----------
    values : by column, None where a cell is empty, in the unit of the column's kind
    source : where it stands
    """

    values: Mapping[str, Any]
    source: Source

    def spot(self, verb: str) -> Spot:
        """Return the point of the four columns that begin with `verb`."""
        x, y, z = (self.values[f"{verb} {way}"] for way in _WAYS)
        stack, part = self.values["stack"], self.values[f"{verb} part"]
        return spot_of(stack, part, (x, y, z))


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordKind:
    """A kind of record.

    Parameters
    ----------
    name : its word in `stoutpost record`
    title : what it is
    columns : of its file
    build : returns the record of a row, or refuses it
    about : how it is measured, one line each
    cautions : what keeps fingers and eyes whole, one line each
    examples : rows for the template
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    build: Callable[[Row], Record]
    about: tuple[str, ...]
    cautions: tuple[str, ...]
    examples: tuple[str, ...]


def place_columns(verb: str, noun: str, needed: bool = True) -> tuple[Column, ...]:
    """Return the four columns of a point: `verb` "pushed", `noun` "force"."""
    part = Column(
        name=f"{verb} part",
        kind=PART_WORDS,
        about=f"part at which the {noun} was; tip for the cutting edge itself",
        needed=needed,
    )
    distances = (
        Column(
            name=f"{verb} {name}",
            kind=PLACE,
            about=f"from the nominal tool tip to that point, positive {way}; "
            "empty for tip",
            unit="mm",
            needed=False,
        )
        for name, way in _WAYS.items()
    )
    return (part, *distances)
