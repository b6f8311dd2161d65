"""Channels of a recording as a file holds them."""

from dataclasses import dataclass

from geometry.pad import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Samples:
    """Channels of a file.

    Parameters
    ----------
    rate_hz : samples a second [Hz]
    channels : (n_channel, n_sample)
    force : index of the hammer's channel if the file names it, None if not
    step : the least difference that the file can hold, 0 where it is not known
    full_scale : the largest value that the file can hold, infinite for a table
    """

    rate_hz: float
    channels: FloatArray
    force: int | None
    step: float
    full_scale: float
