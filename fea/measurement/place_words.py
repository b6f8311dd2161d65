"""Points and directions on the machine, in the words that a machinist writes."""

from dataclasses import dataclass
from math import isfinite, sqrt

from fea.case.field_kind import Choice, FieldKind, refuse
from fea.measurement.record import Heading, Spot, StackName

TIP = "tip"
TOOL = "tool bit"
STACKS: tuple[StackName, ...] = ("quick-change", "four-way")

# Parts that a finger, an indicator or a hammer reaches, as the report names them.
PARTS: dict[StackName, tuple[str, ...]] = {
    "quick-change": (TOOL, "holder", "post body", "top slide", "lower slide"),
    "four-way": (TOOL, "four-way block", "top slide", "lower slide"),
}

DIRECTIONS = {
    "radial": (1.0, 0.0, 0.0),
    "away from work": (1.0, 0.0, 0.0),
    "-radial": (-1.0, 0.0, 0.0),
    "toward work": (-1.0, 0.0, 0.0),
    "axial": (0.0, 1.0, 0.0),
    "toward tailstock": (0.0, 1.0, 0.0),
    "-axial": (0.0, -1.0, 0.0),
    "toward headstock": (0.0, -1.0, 0.0),
    "vertical": (0.0, 0.0, 1.0),
    "up": (0.0, 0.0, 1.0),
    "-vertical": (0.0, 0.0, -1.0),
    "down": (0.0, 0.0, -1.0),
}


@dataclass(frozen=True, slots=True)
class HeadingWords(FieldKind):
    """A direction: a word, or three numbers (radial, axial, vertical)."""

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        return (
            f"one of {', '.join(DIRECTIONS)}, or three numbers for radial, axial and "
            "vertical as 1 0 -2"
        )

    def read(self, raw: object) -> Heading:
        """Return the unit direction."""
        words = " ".join(str(raw).lower().split())
        numbers = DIRECTIONS.get(words) or _three_numbers(words)
        if numbers is None:
            refuse(f"is no known direction; must be {self.wanted}")
        length = sqrt(sum(n * n for n in numbers))
        if not (isfinite(length) and length > 0.0):
            refuse("has no length, so it points nowhere; correct the numbers")
        x, y, z = (n / length for n in numbers)
        return Heading(x=x, y=y, z=z)


def heading_words(heading: Heading) -> str:
    """Return a word for a direction if there is one, else its three numbers."""
    numbers = (heading.x, heading.y, heading.z)
    known = (word for word, direction in DIRECTIONS.items() if direction == numbers)
    return next(known, " ".join(f"{number:.6g}" for number in numbers))


def _three_numbers(words: str) -> tuple[float, ...] | None:
    try:
        numbers = tuple(float(word) for word in words.split())
    except ValueError:
        return None
    return numbers if len(numbers) == 3 else None


def _every_part() -> tuple[str, ...]:
    return (TIP, *dict.fromkeys(part for parts in PARTS.values() for part in parts))


PART_WORDS = Choice("part", _every_part)


def spot_of(
    stack: StackName, part: str, place: tuple[float | None, float | None, float | None]
) -> Spot:
    """Return a point on a part, or refuse what does not fit together.

    Parameters
    ----------
    stack : the stack it belongs to
    part : one of its parts, or "tip"
    place : (3,) radial, axial, vertical, None where nothing is written [mm]
    """
    if part == TIP:
        if any(place):
            refuse(
                f"the tip is at 0, 0, 0; leave its place empty, or write {TOOL} for "
                "another point on the tool"
            )
        return Spot(part=TOOL, x_mm=0.0, y_mm=0.0, z_mm=0.0)
    if part not in PARTS[stack]:
        refuse(
            f"the {stack} stack has no {part} (it has {', '.join(PARTS[stack])}); "
            "correct the part or the stack"
        )
    x, y, z = place
    if x is None or y is None or z is None:
        refuse(
            f"where on the {part}? write its radial, axial and vertical distance from "
            "the nominal tool tip, with units"
        )
    return Spot(part=part, x_mm=x, y_mm=y, z_mm=z)
