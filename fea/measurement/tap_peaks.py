"""Peaks in the spectra of taps, and what only looks like one."""

from dataclasses import dataclass

import numpy as np
from scipy import signal

from fea.measurement.tap_damping import half_power_band
from fea.measurement.tap_spectrum import TapSpectra
from geometry.pad import FloatArray

# A peak rises by this factor over the saddles beside it (6 dB) and is not weaker than
# this share of the strongest (-30 dB): a weaker one matters to no cut (assumed).
_PROMINENCE = 4.0
_OF_STRONGEST = 1e-3

# What rings after a blow is more than this factor (10 dB) over what rang before it.
_OVER_QUIET = 10.0

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
    power = spectra.mean_power
    indices, _ = signal.find_peaks(np.log(power), prominence=np.log(_PROMINENCE))
    is_loud = np.ones(indices.size, dtype=bool)
    if spectra.quiet is not None:
        is_loud = power[indices] > _OVER_QUIET * spectra.quiet[indices]
    hums = indices[~is_loud]
    indices = indices[is_loud]
    if not indices.size:
        return (), _rejected(spectra, hums, 0.0)
    strongest = float(power[indices].max())
    loud = indices[power[indices] >= _OF_STRONGEST * strongest]
    kept = np.sort(loud[np.argsort(-power[loud], kind="stable")[:_MOST]])
    peaks = tuple(_peak(spectra, int(index), strongest) for index in kept)
    return peaks, _rejected(spectra, hums, _OF_STRONGEST * strongest)


def _rejected(
    spectra: TapSpectra, hums: FloatArray, least: float
) -> tuple[Rejected, ...]:
    """Return the hums that would have counted as peaks."""
    return tuple(
        Rejected(frequency_hz=float(spectra.frequency_hz[index]), why=HUM)
        for index in hums
        if spectra.mean_power[index] >= least
    )


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
