"""One peak of a tap test: its frequency and damping, in each tap and in all."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, pi, sqrt

import numpy as np

from fea.measurement.tap_damping import (
    decrement_damping,
    half_power_band,
    half_power_damping,
)
from fea.measurement.tap_decay import Band, Decay, fit_decay
from fea.measurement.tap_estimate import Estimate, combined, of_repeats
from fea.measurement.tap_onset import Tap
from fea.measurement.tap_peaks import Peak
from fea.measurement.tap_spectrum import TapSpectra
from geometry.pad import FloatArray

# A ring damped less is the tone of a bell, a motor or a loose tool; one damped more is
# no ring (assumed).
_LEAST_DAMPING, _MOST_DAMPING = 5e-4, 0.25

# A damping that one tap leaves open by this share is none: noise fitted by a swing.
_VAGUE = 0.5

# A peak nearer to another than so many of their widths has no half-power width of its
# own: the other one's skirt lifts it.
_CLEAR_WIDTHS = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pick:
    """A peak that was found in the taps.

    Parameters
    ----------
    frequency : natural one, without damping [Hz]
    damping : both ways combined, share of critical
    by_decay : from the logarithmic decrement of the fitted ring
    by_width : from the half-power width, None where another peak is too close
    likeness : coherence with the force or, without one, from tap to tap; 1 is best
    level_db : under the strongest peak [dB]
    taps : in how many taps it was found
    decay : the fit to the first of them
    """

    frequency: Estimate
    damping: Estimate
    by_decay: Estimate
    by_width: Estimate | None
    likeness: float
    level_db: float
    taps: int
    decay: Decay


@dataclass(frozen=True, slots=True, kw_only=True)
class _Swing:
    """The swing of one peak in one tap; deviations by the fit alone."""

    frequency_hz: float
    frequency_sd_hz: float
    damping: float
    damping_sd: float
    decay: Decay


def pick_peak(
    taps: Sequence[Tap], spectra: TapSpectra, peak: Peak, band: Band
) -> Pick | str:
    """Return the pick of a peak, or in words why it is none."""
    found = [_swing(fit_decay(tap, band), peak, band) for tap in taps]
    swings = [swing for swing in found if swing is not None]
    if 2 * len(swings) < len(taps) or not swings:
        return "does not die away like a ring in most of the taps"
    by_decay = of_repeats(
        np.array([swing.damping for swing in swings]),
        np.array([swing.damping_sd for swing in swings]),
    )
    if not _LEAST_DAMPING <= by_decay.value <= _MOST_DAMPING:
        return f"is damped by {by_decay.value:.2%}, which is no ring of a stack"
    by_width = None if _is_crowded(peak, band) else _by_width(spectra, peak, by_decay)
    near = np.abs(spectra.frequency_hz - peak.frequency_hz) <= peak.width_hz / 2.0
    return Pick(
        frequency=of_repeats(
            np.array([swing.frequency_hz for swing in swings]),
            np.array([swing.frequency_sd_hz for swing in swings]),
        ),
        damping=combined(by_decay, by_width),
        by_decay=by_decay,
        by_width=by_width,
        likeness=float(spectra.likeness[near].mean()),
        level_db=peak.level_db,
        taps=len(swings),
        decay=swings[0].decay,
    )


def _swing(decay: Decay | None, peak: Peak, band: Band) -> _Swing | None:
    """Return the swing that belongs to a peak, if it stayed near it."""
    if decay is None:
        return None
    index = int(np.argmin(np.abs(band.peaks_hz - peak.frequency_hz)))
    frequency, rate = float(decay.frequency_hz[index]), float(decay.rate_per_s[index])
    deviation = float(decay.rate_sd_per_s[index])
    is_vague = not deviation < _VAGUE * rate
    if abs(frequency - peak.frequency_hz) > band.half_hz or is_vague:
        return None
    # The decrement is what the logarithm of the amplitude loses in one period.
    damping = decrement_damping(rate / frequency)
    # Without damping it would ring a little faster, and that is what a model says.
    undamped = hypot(frequency, rate / (2.0 * pi))
    return _Swing(
        frequency_hz=undamped,
        frequency_sd_hz=float(decay.frequency_sd_hz[index]),
        damping=damping,
        damping_sd=damping * deviation / rate,
        decay=decay,
    )


def _is_crowded(peak: Peak, band: Band) -> bool:
    others = band.peaks_hz != peak.frequency_hz
    widths = np.maximum(band.widths_hz[others], peak.width_hz)
    apart = np.abs(band.peaks_hz[others] - peak.frequency_hz)
    return bool(np.any(apart < _CLEAR_WIDTHS * widths))


def _by_width(spectra: TapSpectra, peak: Peak, by_decay: Estimate) -> Estimate | None:
    """Return the damping by the half-power width of the mean, less its noise.

    Its deviation is that of the widths of single taps, but no less than that of the
    decay.
    """
    clean = np.maximum(spectra.mean_power - spectra.noise, 0.0)
    mean = _width(spectra, clean, peak, float(spectra.fading.mean()))
    rows = zip(spectra.power, spectra.fading, strict=True)
    found = [_width(spectra, power, peak, float(fading)) for power, fading in rows]
    widths = np.array([width for width in found if width is not None])
    if mean is None or mean <= 0.0 or 2 * widths.size < len(found):
        return None
    alone = np.full(widths.size, by_decay.deviation * sqrt(widths.size))
    return Estimate(value=mean, deviation=of_repeats(widths, alone).deviation)


def _width(
    spectra: TapSpectra, power: FloatArray, peak: Peak, fading: float
) -> float | None:
    """Return the damping by the width of a spectrum (n_line,), the fading taken off."""
    lines = spectra.frequency_hz
    near = np.flatnonzero(np.abs(lines - peak.frequency_hz) <= peak.width_hz)
    top = int(near[np.argmax(power[near])])
    band = half_power_band(lines, power, top)
    if band is None:
        return None
    return half_power_damping(*band) - fading / (2.0 * pi * float(lines[top]))
