"""How the ring of a band of frequencies dies away: damped swings fitted to it."""

from dataclasses import dataclass
from math import pi

import numpy as np
from scipy import linalg, ndimage, optimize, signal

from fea.core.modal_model import ComplexArray
from fea.measurement.tap_onset import Tap
from geometry.pad import FloatArray

# The filter's own ring falls at 2 pi times half its band times this (two poles on each
# side, as Butterworth places them, at 45 degrees).
_FILTER_DECAY = 0.707

# The fit begins when the filter's ring has fallen by this exponent, below 1 %.
_FILTER_OVER = 5.0

# The fit ends where the ring has sunk to so many times the level before the blow, or to
# this share of its beginning.
_OVER_QUIET = 2.0
_ENOUGH = 0.01

# A band is so many half-power widths to each side of its peak, so that the filter rings
# much shorter than the peak; but it keeps off zero frequency.
_BAND_WIDTHS = 4.0
_NARROWEST_HZ = 15.0
_BAND_SHARE = 0.4

# Peaks up to so many half bands away still come through the filter's slopes; from there
# on they are 30 dB down.
_SLOPES = 2.4

# A search must not begin on its bounds.
_OFF_BOUNDS = 1e-3

# A fit needs so many of its samples, which are as many a second as the band is wide.
_LEAST_SAMPLES = 8
_RATE_OVER_BAND = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A band of frequencies and the peaks in it.

    Parameters
    ----------
    middle_hz, half_hz : its middle and half its width [Hz]
    peaks_hz : (n_peak,) where peaks are [Hz]
    widths_hz : (n_peak,) how wide they are at half power, 0 for a hum [Hz]
    """

    middle_hz: float
    half_hz: float
    peaks_hz: FloatArray
    widths_hz: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Decay:
    """A ring in a band, and the damped swings fitted to it.

    Parameters
    ----------
    time_s : (n_sample,) since the blow [s]
    envelope, fitted : (n_sample,) of the ring and of all swings together
    frequency_hz, rate_per_s : (n_peak,) of each swing; amplitudes go with exp(-rate t)
    frequency_sd_hz, rate_sd_per_s : (n_peak,) their deviations by the fit alone
    """

    time_s: FloatArray
    envelope: FloatArray
    fitted: FloatArray
    frequency_hz: FloatArray
    rate_per_s: FloatArray
    frequency_sd_hz: FloatArray
    rate_sd_per_s: FloatArray


def band_around(index: int, peaks_hz: FloatArray, widths_hz: FloatArray) -> Band:
    """Return the band around one of the peaks, with all the peaks that are in it.

    A hum is among the peaks, of width 0: it takes part in the fit as a swing that does
    not die away.
    """
    peak, width = float(peaks_hz[index]), float(widths_hz[index])
    half = min(max(_BAND_WIDTHS * width, _NARROWEST_HZ), _BAND_SHARE * peak)
    inside = np.abs(peaks_hz - peak) <= half * _SLOPES
    return Band(
        middle_hz=peak,
        half_hz=half,
        peaks_hz=peaks_hz[inside],
        widths_hz=widths_hz[inside],
    )


def fit_decay(tap: Tap, band: Band) -> Decay | None:
    """Fit one damped swing for each peak of a band to a tap's ring.

    Returns None where the ring is too short or the fit does not settle.

    Notes
    -----
    The band is cut out by a filter without delay and shifted to zero frequency, which
    leaves z(t) = sum a_k exp((2 pi i (f_k - f_0) - rate_k) t). Frequencies and rates
    are found by least squares, the amplitudes a_k on the way (variable projection).
    """
    time, ring = _ring(tap, band)
    if time.size < max(_LEAST_SAMPLES, 4 * band.peaks_hz.size):
        return None
    count = band.peaks_hz.size
    start = np.concatenate([band.peaks_hz - band.middle_hz, pi * band.widths_hz])
    far = _SLOPES * band.half_hz + _NARROWEST_HZ
    low = np.concatenate([np.full(count, -far), np.zeros(count)])
    high = np.concatenate([np.full(count, far), np.full(count, 2.0 * pi * far)])
    margin = _OFF_BOUNDS * (high - low)
    inside = np.clip(start, low + margin, high - margin)
    found = optimize.least_squares(
        _misfit, inside, bounds=(low, high), args=(time, ring), x_scale=high - low
    )
    if not found.success:
        return None
    deviation = _deviations(np.asarray(found.jac), found.fun)
    swings = _swings(found.x, time)
    return Decay(
        time_s=time,
        envelope=np.abs(ring),
        fitted=np.abs(swings @ linalg.lstsq(swings, ring)[0]),
        frequency_hz=band.middle_hz + found.x[:count],
        rate_per_s=found.x[count:],
        frequency_sd_hz=deviation[:count],
        rate_sd_per_s=deviation[count:],
    )


def _ring(tap: Tap, band: Band) -> tuple[FloatArray, ComplexArray]:
    """Return time since the blow and the ring of a band, shifted to zero frequency."""
    recording = tap.recording
    rate = recording.rate_hz
    edges = (band.middle_hz - band.half_hz, band.middle_hz + band.half_hz)
    sections = signal.butter(2, edges, "bandpass", fs=rate, output="sos")
    around = recording.response[tap.quiet : tap.end]
    passed = signal.hilbert(signal.sosfiltfilt(sections, around))
    level = np.abs(passed)
    blow = tap.begin - tap.quiet
    wait = _FILTER_OVER / (2.0 * pi * band.half_hz * _FILTER_DECAY)
    first = blow + round(wait * rate)
    beat = max(1, round(_beat_s(band) * rate))
    # A hum in the band is fitted too, and best where nothing but the hum is left.
    quiet = 0 if np.any(band.widths_hz == 0.0) else blow - round(wait * rate)
    last = _last(level, first, quiet, beat)
    stride = max(1, int(rate / (_RATE_OVER_BAND * 2.0 * band.half_hz)))
    kept = np.arange(first, last, stride)
    time = (kept - blow) / rate
    return time, passed[kept] * np.exp(-2j * pi * band.middle_hz * time)


def _last(level: FloatArray, first: int, quiet: int, beat: int) -> int:
    """Return where the level has sunk too low, and not only within a beat.

    Parameters
    ----------
    level : (n_sample,) of the band
    first : where the fit begins
    quiet : so many samples of it tell the level before the blow
    beat : so many samples a beat of the band's peaks takes
    """
    if first >= level.size:
        return first
    before = float(np.sqrt(np.mean(level[:quiet] ** 2))) if quiet > 0 else 0.0
    floor = max(_OVER_QUIET * before, _ENOUGH * float(level[first:].max()))
    # The greatest level from each sample on to the end of a beat.
    ahead = ndimage.maximum_filter1d(level[first:], beat, origin=-(beat // 2))
    low = np.flatnonzero(ahead <= floor)
    return first + int(low[0]) if low.size else level.size


def _beat_s(band: Band) -> float:
    """Return the longest beat of peaks in a band, or what the band follows [s]."""
    apart = np.diff(np.sort(band.peaks_hz))
    return float(1.0 / min([band.half_hz, *apart]))


def _swings(unknowns: FloatArray, time: FloatArray) -> ComplexArray:
    """Return (n_sample, n_peak) damped swings of amplitude 1."""
    offset, rate = np.split(unknowns, 2)
    return np.asarray(np.exp(time[:, None] * (2j * pi * offset - rate)))


def _misfit(unknowns: FloatArray, time: FloatArray, ring: ComplexArray) -> FloatArray:
    swings = _swings(unknowns, time)
    rest = ring - swings @ linalg.lstsq(swings, ring)[0]
    return np.concatenate([rest.real, rest.imag])


def _deviations(jacobian: FloatArray, misfit: FloatArray) -> FloatArray:
    """Return the deviations of the unknowns from what the fit leaves over.

    Samples are twice as many as a band of this width has independent ones.
    """
    count = max(misfit.size / _RATE_OVER_BAND - jacobian.shape[1], 1.0)
    variance = float(misfit @ misfit) / count
    # By singular values: a matrix of squares may round to variances below zero.
    _, size, turn = np.linalg.svd(jacobian, full_matrices=False)
    with np.errstate(divide="ignore", invalid="ignore"):
        spread = np.sum((turn.T / size) ** 2, axis=1)
    return np.asarray(np.sqrt(spread * variance * _RATE_OVER_BAND))
