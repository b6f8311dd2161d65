"""Sizes as the shop sheet writes them: mm, and inches in brackets if wanted."""

from collections.abc import Sequence
from dataclasses import dataclass

from fea.case.iso_fit import Limits
from fea.case.unit_registry import FORCE, MASS, TORQUE, unit_factor
from fea.case.wording import Units, shown_quantity
from geometry.units import MM_PER_INCH, N_PER_KN

# A drawing shows hundredths of a millimetre, a measurement thousandths; a thou and a
# tenth of it are as fine.
DRAWN = (2, 3)
MEASURED = (3, 4)

# Stock is sawn to a hundredth of an inch at best.
COARSE_INCH = 2

NO_BREAK = "\u00a0"
TIMES = " × "

# Forces of screws are known to a tenth at best: tens of pounds are enough.
POUNDS = -1

# Differences of sizes may come out as zero with a sign. [mm]
NOTHING_MM = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """How lengths and other quantities are written.

    Parameters
    ----------
    units : which are wanted; mm are always there
    """

    units: Units

    def drawn(self, value: float) -> tuple[str, str]:
        """Return what stands over and under a dimension line: mm, and inches if any."""
        return _trimmed(f"{value:.{DRAWN[0]}f}"), self._bracket(value, DRAWN[1])

    def read(self, value: float) -> tuple[str, str]:
        """Return what a micrometer is to show, over and under a dimension line."""
        return f"{value:.{MEASURED[0]}f}", self._bracket(value, MEASURED[1])

    def length(self, value: float) -> str:
        """Return a dimension in one line."""
        return " ".join(self.drawn(value)).rstrip()

    def measured(self, value: float) -> str:
        """Return what a micrometer is to show in one line."""
        return " ".join(self.read(value)).rstrip()

    def limits(self, limits: Limits) -> str:
        """Return how far a size may be off, the larger first."""
        ends = (limits.upper, limits.lower)
        millimetres = (_signed(end, MEASURED[0]) for end in ends)
        inches = (_signed(end / MM_PER_INCH, MEASURED[1]) for end in ends)
        return self._both(" / ".join(millimetres), " / ".join(inches))

    def box(self, sides: Sequence[float]) -> str:
        """Return the sides of a block."""
        millimetres = TIMES.join(_trimmed(f"{side:.{DRAWN[0]}f}") for side in sides)
        inches = (f"{side / MM_PER_INCH:.{COARSE_INCH}f}" for side in sides)
        return self._both(millimetres, TIMES.join(inches))

    def torque(self, value: float) -> str:
        """Return a torque on a screw. `value` [N m]."""
        inch = shown_quantity(value, TORQUE, Units.INCH)
        return self._both(shown_quantity(value, TORQUE), inch)

    def forces(self, *values: float) -> str:
        """Return a force of a screw, or from one to another. `values` [N]."""
        metric = " to ".join(f"{value / N_PER_KN:.1f}" for value in values)
        pound = unit_factor("lbf", FORCE)
        inch = " to ".join(f"{round(value / pound, POUNDS):.0f}" for value in values)
        return self._both(f"{metric} kN", f"{inch} lbf")

    def mass(self, value: float) -> str:
        """Return a mass of a part. `value` [kg]."""
        return self._both(
            f"{value:.2f} kg", f"{value / unit_factor('lb', MASS):.2f} lb"
        )

    def _both(self, metric: str, inch: str) -> str:
        """Join them so that a line may end between them and nowhere else."""
        parts = [metric, f"[{inch}]"] if self.units is Units.INCH else [metric]
        return " ".join(part.replace(" ", NO_BREAK) for part in parts)

    def _bracket(self, value: float, decimals: int) -> str:
        if self.units is not Units.INCH:
            return ""
        return f"[{value / MM_PER_INCH:.{decimals}f}]"


def _trimmed(number: str) -> str:
    return number.rstrip("0").rstrip(".") if "." in number else number


def _signed(value: float, decimals: int) -> str:
    return (
        "0" if abs(value) < NOTHING_MM else f"{value:+.{decimals}f}".replace("-", "−")
    )
