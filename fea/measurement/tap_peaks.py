"""Peaks in the spectra of taps, and what only looks like one."""

from dataclasses import dataclass

import numpy as np
from scipy import signal

from fea.measurement.tap_damping import half_power_band
from fea.measurement.tap_spectrum import TapSpectra
from geometry.mesh import IntArray

# A peak rises by this factor over the saddles beside it (1.5 dB: of two close modes the
# weaker one hardly does) and is not weaker than this share of the strongest (-30 dB): a
# weaker one matters to no cut (assumed).
_PROMINENCE = 1.41
_OF_STRONGEST = 1e-3

# What rings after a blow is more than this factor (10 dB) over what rang before it, and
# so is a line of hum over the noise around it. [-, Hz]
_OVER_NOISE = 10.0
_AROUND_HZ = 60.0

# Closer together the short quiet does not tell two tones apart. [Hz]
_ONE_HUM_HZ = 10.0

# Noise of power q makes a mean of n powers P ripple by sqrt(2 P q / n), its deviation;
# a peak stands out by more than so many of them.
_OVER_RIPPLE = 4.0

# More peaks than this no fit can make use of (assumed).
_MOST = 8

# Half-power width of a peak that is too close to another to read it, as a share.
_TYPICAL_WIDTH = 0.06

HUM = "rang before the blow as well: hum, or a motor that runs"


@dataclass(frozen=True, slots=True, kw_only=True)
class Peak:
    """A peak of the mean spectrum.

    Parameters
    ----------
    index : of its line
    frequency_hz : [Hz]
    width_hz : at half power, the fading taken off [Hz]
    level_db : under the strongest peak [dB]
    """

    index: int
    frequency_hz: float
    width_hz: float
    level_db: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Rejected:
    """A peak that was left out.

    Parameters
    ----------
    frequency_hz : [Hz]
    why : in words
    """

    frequency_hz: float
    why: str


def find_peaks(spectra: TapSpectra) -> tuple[tuple[Peak, ...], tuple[Rejected, ...]]:
    """Return the peaks by frequency, and those that only rang on from before."""
    power, noise = spectra.mean_power, spectra.noise
    indices, found = signal.find_peaks(power, prominence=0.0)
    saddle = power[indices] - found["prominences"]
    ripple = np.sqrt(2.0 * noise[indices] * power[indices] / len(spectra.power))
    is_peak = saddle * _PROMINENCE < power[indices]
    is_peak &= found["prominences"] > _OVER_RIPPLE * ripple
    is_loud = power[indices] > _OVER_NOISE * noise[indices]
    loud = indices[is_peak & is_loud]
    strongest = float(power[loud].max()) if loud.size else 0.0
    loud = loud[power[loud] >= _OF_STRONGEST * strongest]
    kept = np.sort(loud[np.argsort(-power[loud], kind="stable")[:_MOST]])
    peaks = tuple(_peak(spectra, int(index), strongest) for index in kept)
    return peaks, _hums(spectra, indices[~is_loud], _OF_STRONGEST * strongest)


def _hums(spectra: TapSpectra, indices: IntArray, least: float) -> tuple[Rejected, ...]:
    """Return the lines that stand out of the noise and would have counted."""
    lines, noise = spectra.frequency_hz, spectra.noise
    span = round(_AROUND_HZ / (lines[1] - lines[0]))
    hums: list[float] = []
    for index in indices[np.argsort(-spectra.mean_power[indices], kind="stable")]:
        around = float(np.median(noise[max(index - span, 0) : index + span]))
        is_line = noise[index] > _OVER_NOISE * around
        is_new = all(abs(lines[index] - hertz) > _ONE_HUM_HZ for hertz in hums)
        if is_line and is_new and spectra.mean_power[index] >= least:
            hums.append(float(lines[index]))
    return tuple(Rejected(frequency_hz=hertz, why=HUM) for hertz in sorted(hums))


def _peak(spectra: TapSpectra, index: int, strongest: float) -> Peak:
    lines, power = spectra.frequency_hz, spectra.mean_power
    band = half_power_band(lines, power, index)
    fading_hz = float(spectra.fading.mean()) / np.pi
    width = _TYPICAL_WIDTH * lines[index] if band is None else band[1] - band[0]
    least = lines[1] - lines[0]
    return Peak(
        index=index,
        frequency_hz=float(lines[index]),
        width_hz=max(float(width) - fading_hz, float(least)),
        level_db=float(10.0 * np.log10(power[index] / strongest)),
    )
