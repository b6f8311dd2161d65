"""A variable as one side of the unit cube: shares of its range, places in its list."""

from dataclasses import dataclass

import numpy as np

from fea.case.field_kind import Number, Quantity, Whole
from fea.case.key_tree import kind_of
from fea.case.study_problem import ends
from fea.case.study_section import Variable
from geometry.pad import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One variable of a study.

    Parameters
    ----------
    key : dotted name
    unit : of its numbers, empty for a choice or a plain number
    low, high : ends, in the unit; those of a choice are 0 and 1
    names : of a choice, in the order of the file; empty for a number
    """

    key: str
    unit: str
    low: float
    high: float
    names: tuple[object, ...]

    @property
    def title(self) -> str:
        """Key with its unit, as it stands beside a plot."""
        return f"{self.key} ({self.unit})" if self.unit else self.key

    def share(self, raw: object) -> float:
        """Return where a value lies, 0 to 1; of a choice the middle of its piece."""
        if self.names:
            return (self.names.index(raw) + 0.5) / len(self.names)
        return (self.number(raw) - self.low) / (self.high - self.low)

    def number(self, raw: object) -> float:
        """Return a value that the case file says, in the unit."""
        return float(kind_of(self.key).read(raw))  # type: ignore[arg-type]

    def columns(self, shares: FloatArray) -> FloatArray:
        """Return shares as a smooth model takes them. (n,) to (n, k).

        A number is one column; a choice has one for each name, 1 where it is that one.
        """
        if not self.names:
            return shares[:, None]
        places = np.minimum((shares * len(self.names)).astype(int), len(self.names) - 1)
        return np.asarray(np.eye(len(self.names))[places])


def axis_of(variable: Variable) -> Axis | None:
    """Return the axis of a variable, or None if it has one value only."""
    kind = kind_of(variable.key)
    if not isinstance(kind, Quantity | Whole | Number):
        names = tuple(dict.fromkeys(variable.values))
        return _choice(variable.key, names) if len(names) > 1 else None
    if variable.values:
        numbers = [float(kind.read(raw)) for raw in variable.values]
        low, high = min(numbers), max(numbers)
    else:
        low, high = ends(variable)
    unit = kind.kind.unit if isinstance(kind, Quantity) else ""
    if low == high:
        return None
    return Axis(key=variable.key, unit=unit, low=low, high=high, names=())


def _choice(key: str, names: tuple[object, ...]) -> Axis:
    return Axis(key=key, unit="", low=0.0, high=1.0, names=names)
