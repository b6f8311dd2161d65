"""What a workshop has at hand for a design: dovetail cutters, tools to be held."""

from dataclasses import dataclass
from math import radians, tan

from pydantic_core import PydanticCustomError

from fea.case.field_kind import FieldKind, Quantity, refuse
from fea.case.unit_registry import ANGLE, LENGTH
from geometry.dovetail import FLATTEST_DEG, STEEPEST_DEG

MOST_CUTTERS = 20
KEYS = {
    "angle": Quantity(ANGLE, FLATTEST_DEG, STEEPEST_DEG),
    "diameter": Quantity(LENGTH, 3.0, 150.0),
    "height": Quantity(LENGTH, 1.0, 80.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutter:
    """A dovetail cutter.

    Parameters
    ----------
    angle : of its teeth to the face that it cuts, as a dovetail's [deg]
    diameter : at its end, its widest [mm]
    height : of its teeth along its axis [mm]
    """

    angle: float
    diameter: float
    height: float

    def __str__(self) -> str:
        """Return its sizes in one phrase."""
        return (
            f"{self.angle:g} deg, {self.diameter:g} mm across, {self.height:g} mm high"
        )


class Cutters(FieldKind):
    """A list of tables, each with angle, diameter and height."""

    @property
    def wanted(self) -> str:
        """What is allowed, as it stands in a message."""
        return (
            f"a list of at most {MOST_CUTTERS} dovetail cutters, each with angle, "
            'diameter and height: [{ angle = "60 deg", diameter = "25 mm", '
            'height = "10 mm" }]'
        )

    def read(self, raw: object) -> tuple[Cutter, ...]:
        """Return the cutters in the order of the file."""
        if not isinstance(raw, list) or len(raw) > MOST_CUTTERS:
            refuse(f"must be {self.wanted}")
        return tuple(self._cutter(each) for each in raw)

    def _cutter(self, raw: object) -> Cutter:
        if not isinstance(raw, dict) or set(raw) != set(KEYS):
            refuse(f"has {raw!r}; must be {self.wanted}")
        cutter = Cutter(**{name: _size(name, raw[name]) for name in KEYS})
        neck = cutter.diameter - 2.0 * cutter.height / tan(radians(cutter.angle))
        if neck <= 0.0:
            refuse(
                f"has a cutter of {cutter}, whose teeth would meet below its shank; "
                "correct one of its sizes"
            )
        return cutter


def _size(name: str, raw: object) -> float:
    try:
        return KEYS[name].read(raw)
    except PydanticCustomError as error:
        refuse(f"has a cutter with {name} = {raw!r}, which {error.message()}")
