"""A tap test from recordings to frequencies and damping with their deviations."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.measurement.record import Source, TapResult
from fea.measurement.tap_blow import Blow
from fea.measurement.tap_decay import band_around
from fea.measurement.tap_onset import Tap, find_taps
from fea.measurement.tap_peaks import Peak, Rejected, find_peaks
from fea.measurement.tap_pick import Pick, pick_peak
from fea.measurement.tap_recording import Recording
from fea.measurement.tap_spectrum import TapSpectra, tap_spectra
from geometry.errors import InputError

# Stacks of small lathes ring in here: below sways the bench, and what rings above is
# too stiff to matter (assumed). [Hz]
BAND_HZ = (40.0, 1500.0)

# Filters need room between the band and half the rate of samples.
_OF_RATE = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class TapTest:
    """What the recordings of one tap test show.

    Parameters
    ----------
    taps : all that were found
    spectra : of all of them
    has_force : whether the hammer's force was recorded
    picks : by frequency
    rejected : peaks that were left out, by frequency
    """

    taps: tuple[Tap, ...]
    spectra: TapSpectra
    has_force: bool
    picks: tuple[Pick, ...]
    rejected: tuple[Rejected, ...]


def evaluate_taps(
    recordings: Sequence[Recording], band_hz: tuple[float, float] = BAND_HZ
) -> TapTest:
    """Find the taps in recordings, the peaks in the taps, and how they are damped.

    Parameters
    ----------
    recordings : of one point struck in one direction, at least one
    band_hz : least and largest frequency to look at [Hz]

    Raises
    ------
    InputError
        There is no tap, or no peak that rings.
    """
    taps = tuple(tap for recording in recordings for tap in find_taps(recording))
    highest = _OF_RATE * min(recording.rate_hz for recording in recordings)
    band_hz = (band_hz[0], min(band_hz[1], highest))
    spectra = tap_spectra(taps, band_hz)
    peaks, hums = find_peaks(spectra)
    picks, duds = _picks(taps, spectra, peaks, hums)
    rejected = tuple(sorted((*hums, *duds), key=lambda one: one.frequency_hz))
    if not picks:
        _refuse(recordings, taps, rejected, band_hz)
    return TapTest(
        taps=taps,
        spectra=spectra,
        has_force=all(tap.force is not None for tap in taps),
        picks=picks,
        rejected=rejected,
    )


def _picks(
    taps: Sequence[Tap],
    spectra: TapSpectra,
    peaks: Sequence[Peak],
    hums: Sequence[Rejected],
) -> tuple[tuple[Pick, ...], tuple[Rejected, ...]]:
    """Pick peaks; while one of them fails, the others are picked anew without it."""
    duds: list[Rejected] = []
    while True:
        tones = [*(p.frequency_hz for p in peaks), *(h.frequency_hz for h in hums)]
        widths = np.array([*(peak.width_hz for peak in peaks), *(0.0 for _ in hums)])
        found = [
            pick_peak(taps, spectra, peak, band_around(index, np.array(tones), widths))
            for index, peak in enumerate(peaks)
        ]
        pairs = list(zip(peaks, found, strict=True))
        fresh = [
            Rejected(frequency_hz=peak.frequency_hz, why=why)
            for peak, why in pairs
            if isinstance(why, str)
        ]
        if not fresh:
            picks = (pick for pick in found if isinstance(pick, Pick))
            return tuple(picks), tuple(duds)
        duds += fresh
        peaks = [peak for peak, pick in pairs if isinstance(pick, Pick)]


def _refuse(
    recordings: Sequence[Recording],
    taps: Sequence[Tap],
    rejected: Sequence[Rejected],
    band_hz: tuple[float, float],
) -> None:
    names = ", ".join(recording.name for recording in recordings)
    why = "".join(f"; {one.frequency_hz:.0f} Hz {one.why}" for one in rejected)
    message = (
        f"{names}: {len(taps)} tap{'s' if len(taps) > 1 else ''}, but no peak between "
        f"{band_hz[0]:g} and {band_hz[1]:g} Hz that rings and dies away{why}; tap "
        "harder, move the microphone closer, or switch off what hums"
    )
    raise InputError(message)


def tap_results(test: TapTest, blow: Blow, source: Source) -> tuple[TapResult, ...]:
    """Return the picks of a test as records."""
    return tuple(
        TapResult(
            stack=blow.stack,
            struck=blow.struck,
            struck_along=blow.struck_along,
            heard=blow.heard,
            frequency_hz=pick.frequency.value,
            frequency_sd_hz=pick.frequency.deviation,
            damping_ratio=pick.damping.value,
            damping_sd=pick.damping.deviation,
            source=source,
        )
        for pick in test.picks
    )
