"""The cut: what the tool's edge looks like and how fast it is fed."""

import math
from dataclasses import dataclass

from geometry.errors import InputError

FEED_LIMITS_MM = (0.005, 2.0)
ENTERING_LIMITS_DEG = (30.0, 107.0)
NOSE_LIMITS_MM = (0.0, 5.0)
RAKE_LIMITS_DEG = (-30.0, 30.0)


def require_within(
    where: str, value: float, limits: tuple[float, float], unit: str, advice: str
) -> None:
    """Raise an InputError unless `value` is a number within `limits`, ends included.

    Parameters
    ----------
    where : name of the quantity, as the user knows it
    limits : least and greatest value that is allowed
    unit : of the value and the limits
    advice : what to do about it, without a full stop
    """
    low, high = limits
    if not (math.isfinite(value) and low <= value <= high):
        message = (
            f"{where} = {value:g} {unit}: must be a number from {low:g} to {high:g} "
            f"{unit}; {advice}"
        )
        raise InputError(message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """Feed and edge of longitudinal turning toward the headstock.

    Cutting speed is not among them: the force law has no speed in it.

    Parameters
    ----------
    feed_mm : feed per revolution. [mm]
    entering_angle_deg : from the feed direction to the main edge; below 90 the edge
        meets the unmachined surface first, above 90 the nose does. [deg]
    nose_radius_mm : 0 is a sharp corner. [mm]
    rake_deg : of the chip face at the main edge, positive is keener. [deg]

    Raises
    ------
    InputError
        A value is not a number or outside of its limits.
    """

    feed_mm: float
    entering_angle_deg: float
    nose_radius_mm: float
    rake_deg: float

    def __post_init__(self) -> None:
        """Refuse what no lathe tool can do."""
        require_within(
            "cut.feed_mm",
            self.feed_mm,
            FEED_LIMITS_MM,
            "mm",
            "give the feed per revolution",
        )
        require_within(
            "cut.entering_angle_deg",
            self.entering_angle_deg,
            ENTERING_LIMITS_DEG,
            "deg",
            "measure from the feed direction to the main edge",
        )
        require_within(
            "cut.nose_radius_mm",
            self.nose_radius_mm,
            NOSE_LIMITS_MM,
            "mm",
            "0 is a sharp corner",
        )
        require_within(
            "cut.rake_deg",
            self.rake_deg,
            RAKE_LIMITS_DEG,
            "deg",
            "give the rake of the chip face at the main edge",
        )

    @property
    def entering_angle(self) -> float:
        """Entering angle. [rad]."""
        return math.radians(self.entering_angle_deg)
