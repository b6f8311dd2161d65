"""Where in a recording the taps are."""

from dataclasses import dataclass

import numpy as np
from scipy import signal

from fea.measurement.tap_recording import Recording
from geometry.errors import InputError
from geometry.pad import FloatArray

# What sways slower is wind, mains frequency aside, or the drift of a sensor. [Hz]
_SLOWEST_HZ = 30.0

# Over so long the level is averaged: a few periods of the slowest mode. [s]
_LEVEL_S = 0.004

# A tap stands out from the quiet by this factor, and is no weaker than this share of
# the strongest one: what is weaker is a step on the floor, or an echo (assumed).
_OVER_QUIET = 3.0
_OF_STRONGEST = 0.05

# Two blows within this time are one tap and its bounce. [s]
_APART_S = 0.25

# Of each ring so much is looked at, and so much it needs at least. [s]
_LONGEST_S = 1.0
_SHORTEST_S = 0.15

# Left out before the next blow, so that its rise is not seen. [s]
_BEFORE_S = 0.02

# The quiet before a blow is taken over so long at most. [s]
_QUIET_S = 0.5

# What the level is most of the time while nobody taps.
_QUIET_PERCENTILE = 40.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tap:
    """One tap within a recording, as indices of its samples.

    Parameters
    ----------
    recording : it is part of
    begin, end : of the ring; `end` is behind the last sample
    quiet : first sample of the quiet before it; the quiet ends `begin` or before
    """

    recording: Recording
    begin: int
    end: int
    quiet: int

    @property
    def ring(self) -> FloatArray:
        """Return the response from the blow on, (n_sample,)."""
        return self.recording.response[self.begin : self.end]

    @property
    def force(self) -> FloatArray | None:
        """Return the force from the blow on, (n_sample,), None without a sensor."""
        force = self.recording.force
        return None if force is None else force[self.begin : self.end]


def find_taps(recording: Recording) -> tuple[Tap, ...]:
    """Return every tap of a recording, the first one first.

    Raises
    ------
    InputError
        None stands out, or no ring is long enough.
    """
    rate = recording.rate_hz
    begins = _onsets(_level(recording), rate)
    if not begins:
        message = (
            f"{recording.name}: no tap stands out from the noise; record in a quiet "
            "room, closer to the tool, or tap harder"
        )
        raise InputError(message)
    if recording.force is not None:
        begins = [max(begin - round(_LEVEL_S * rate), 0) for begin in begins]
    ends = [*(b - round(_BEFORE_S * rate) for b in begins[1:]), recording.response.size]
    taps = []
    before = 0
    for begin, latest in zip(begins, ends, strict=True):
        end = min(latest, begin + round(_LONGEST_S * rate))
        quiet = max(before, begin - round(_QUIET_S * rate))
        before = end
        if end - begin >= _SHORTEST_S * rate:
            taps.append(Tap(recording=recording, begin=begin, end=end, quiet=quiet))
    if not taps:
        message = (
            f"{recording.name}: every ring ends after less than {_SHORTEST_S:g} s; "
            "leave a second or two between taps and after the last one"
        )
        raise InputError(message)
    return tuple(taps)


def _level(recording: Recording) -> FloatArray:
    """Return the level (n_sample,) over the next milliseconds.

    It is that of the hammer's force where there is one. A level that looks ahead is at
    its height when the blow begins.
    """
    rate = recording.rate_hz
    heard = recording.response if recording.force is None else recording.force
    sections = signal.butter(2, _SLOWEST_HZ, "highpass", fs=rate, output="sos")
    swift = signal.sosfilt(sections, heard)
    count = max(1, round(_LEVEL_S * rate))
    total = np.concatenate([[0.0], np.cumsum(swift**2)])
    ahead = np.minimum(np.arange(swift.size) + count, swift.size)
    energy = np.maximum(total[ahead] - total[: swift.size], 0.0)
    return np.asarray(np.sqrt(energy / count))


def _onsets(level: FloatArray, rate_hz: float) -> list[int]:
    """Return where the level rises out of the quiet, which it must have been in."""
    quiet = float(np.percentile(level, _QUIET_PERCENTILE))
    threshold = max(_OVER_QUIET * quiet, _OF_STRONGEST * float(level.max()))
    loud = np.flatnonzero(level > threshold)
    if not loud.size:
        return []
    gaps = np.diff(loud, prepend=-np.inf)
    span = round(_LEVEL_S * rate_hz)
    rises = loud[gaps >= _APART_S * rate_hz]
    return [int(rise + np.argmax(level[rise : rise + 2 * span])) for rise in rises]
