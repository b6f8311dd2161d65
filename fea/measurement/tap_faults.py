"""Faults of a recording that no evaluation can mend: too short, silent, clipped."""

import numpy as np

from fea.measurement.tap_samples import Samples
from geometry.errors import InputError
from geometry.pad import FloatArray

# The ring of a lathe's stack is over within some tenths of a second (common
# practice, no source); less than this holds no whole one. [s]
SHORTEST_S = 0.3

# Stacks ring at some hundred hertz; a slower record shows too few of them (assumed).
LEAST_RATE_HZ = 2000.0

# What stays within so many of the file's steps is silence.
SILENT_STEPS = 4.0

# A peak that was cut off is flat for some samples, and its edge is steep: of a whole
# peak the samples beside its flat top lie one step lower.
FLAT_SAMPLES = 3
STEEP_STEPS = 2.0


def check_size(name: str, samples: Samples) -> None:
    """Refuse a recording that is too short or too slow."""
    seconds = samples.channels.shape[1] / samples.rate_hz
    if seconds < SHORTEST_S:
        message = (
            f"{name}: lasts {seconds:.2g} s, too short for a tap and its ring; record "
            f"at least {SHORTEST_S:g} s, better five taps a second or two apart"
        )
        raise InputError(message)
    if samples.rate_hz < LEAST_RATE_HZ:
        message = (
            f"{name}: has {samples.rate_hz:g} samples a second, at least "
            f"{LEAST_RATE_HZ:g} are needed; record at the full rate of the device"
        )
        raise InputError(message)


def check_level(name: str, samples: Samples, index: int) -> None:
    """Refuse a channel that is not finite, silent or clipped."""
    channel = samples.channels[index]
    where = f"{name}, channel {index + 1}" if len(samples.channels) > 1 else name
    if not np.isfinite(channel).all():
        message = f"{where}: holds samples that are not numbers; record it anew"
        raise InputError(message)
    if np.ptp(channel) <= SILENT_STEPS * samples.step:
        message = (
            f"{where}: is silent; check that the microphone or sensor was on and the "
            "right channel was saved, and move it closer"
        )
        raise InputError(message)
    count = clipped_peaks(channel, samples.step, samples.full_scale)
    if count:
        peaks = "a peak is" if count == 1 else f"{count} peaks are"
        message = (
            f"{where}: is clipped: {peaks} cut off flat; a clipped ring shows false "
            "peaks, so move the microphone away or turn the level down, and record anew"
        )
        raise InputError(message)


def clipped_peaks(channel: FloatArray, step: float, full_scale: float) -> int:
    """Return how many peaks of a channel (n_sample,) are cut off.

    Only the outermost values are looked at: a peak is cut off where several samples
    share one of them, and it is the end of the scale, or the edge beside it is steep.
    """
    return sum(_flat_tops(sign * channel, step, full_scale) for sign in (1.0, -1.0))


def _flat_tops(channel: FloatArray, step: float, full_scale: float) -> int:
    top = float(channel.max())
    at_top = np.concatenate([[False], channel == top, [False]])
    edges = np.flatnonzero(np.diff(at_top))
    starts, ends = edges[::2], edges[1::2]
    long = ends - starts >= FLAT_SAMPLES
    starts, ends = starts[long], ends[long]
    if top >= full_scale:
        return len(starts)
    beside = [
        min(channel[max(start - 1, 0)], channel[min(end, channel.size - 1)])
        for start, end in zip(starts, ends, strict=True)
    ]
    return int(sum(top - value > STEEP_STEPS * step for value in beside))
