"""Spectra of taps: how loud each frequency rings, and how alike taps are."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import signal

from fea.core.modal_model import ComplexArray
from fea.measurement.tap_onset import Tap
from geometry.pad import FloatArray

# A ring is faded to this share by its end, so that its spectrum has no side lobes. The
# fading acts as damping of a known amount, which is taken off again.
_FADED_TO = 0.01

# Spectral lines are this close, to read widths between them. [Hz]
_LINE_HZ = 0.2

# Spectra of what rings before a blow are taken over stretches of this length, and a
# shorter quiet tells nothing. [s]
_STRETCH_S = 0.25
_LEAST_QUIET_S = 0.1

# Left out before a blow, so that none of it is taken for quiet. [s]
_GUARD_S = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class TapSpectra:
    """Spectra of all taps on one line of frequencies.

    Parameters
    ----------
    frequency_hz : (n_line,) [Hz]
    power : (n_tap, n_line) of each tap, all of the same sum; of response over force
        where there is a force
    mean_power : (n_line,) over the taps
    noise : (n_line,) the part of it that rang before the taps as well, or that the
        force does not explain; zero where neither is known
    likeness : (n_line,) coherence with the force; without one, how alike the taps are,
        1 if they are the same
    fading : (n_tap,) rate at which each ring was faded [1/s]
    """

    frequency_hz: FloatArray
    power: FloatArray
    mean_power: FloatArray
    noise: FloatArray
    likeness: FloatArray
    fading: FloatArray


def tap_spectra(taps: Sequence[Tap], band_hz: tuple[float, float]) -> TapSpectra:
    """Return the spectra of taps; their rates of samples may differ.

    Parameters
    ----------
    taps : at least one
    band_hz : least and largest frequency of interest [Hz]

    Notes
    -----
    With a force F and a response X of each tap, H1 = sum F* X / sum |F|^2, and the
    coherence is |sum F* X|^2 / (sum |F|^2 sum |X|^2). Without a force phases mean
    nothing, and the likeness is (sum |X|)^2 / (n sum |X|^2), about pi/4 for noise.
    """
    count = round((band_hz[1] - band_hz[0]) / _LINE_HZ) + 1
    lines = np.linspace(*band_hz, count)
    fading = np.array([-np.log(_FADED_TO) / _seconds(tap) for tap in taps])
    response = _spectra(taps, [tap.ring for tap in taps], fading, lines)
    force = _forces(taps, fading, lines)
    if force is not None:
        return _over_force(lines, fading, response, force)
    power = np.abs(response) ** 2
    # Some blows are harder than others, which says nothing about the machine.
    scale = power.sum(axis=1)
    quiet = _quiet(taps, fading, lines)
    power = power / scale[:, None]
    return TapSpectra(
        frequency_hz=lines,
        power=power,
        mean_power=np.asarray(power.mean(axis=0)),
        noise=np.asarray((quiet.T / scale).mean(axis=1)),
        likeness=_likeness(np.sqrt(power)),
        fading=fading,
    )


def _seconds(tap: Tap) -> float:
    return (tap.end - tap.begin) / tap.recording.rate_hz


def _fade(tap: Tap, fading: float) -> FloatArray:
    return np.asarray(
        np.exp(-fading * np.arange(tap.end - tap.begin) / tap.recording.rate_hz)
    )


def _spectra(
    taps: Sequence[Tap],
    signals: Sequence[FloatArray],
    fading: FloatArray,
    lines: FloatArray,
) -> ComplexArray:
    """Return (n_tap, n_line), each signal faded, on exactly these lines."""
    return np.array(
        [
            signal.zoom_fft(
                values * _fade(tap, rate),
                [lines[0], lines[-1]],
                m=lines.size,
                fs=tap.recording.rate_hz,
                endpoint=True,
            )
            for tap, values, rate in zip(taps, signals, fading, strict=True)
        ]
    )


def _forces(
    taps: Sequence[Tap], fading: FloatArray, lines: FloatArray
) -> ComplexArray | None:
    forces = [tap.force for tap in taps]
    known = [force for force in forces if force is not None]
    return _spectra(taps, known, fading, lines) if len(known) == len(taps) else None


def _over_force(
    lines: FloatArray, fading: FloatArray, response: ComplexArray, force: ComplexArray
) -> TapSpectra:
    both = np.sum(np.conj(force) * response, axis=0)
    of_force = np.sum(np.abs(force) ** 2, axis=0)
    of_response = np.sum(np.abs(response) ** 2, axis=0)
    coherence = np.asarray(np.abs(both) ** 2 / (of_force * of_response))
    each = np.abs(response / force) ** 2
    transfer = np.abs(both / of_force) ** 2
    power = transfer / transfer.sum()
    return TapSpectra(
        frequency_hz=lines,
        power=each / each.sum(axis=1, keepdims=True),
        mean_power=power,
        noise=np.asarray(power * (1.0 - coherence)),
        likeness=coherence,
        fading=fading,
    )


def _likeness(size: FloatArray) -> FloatArray:
    return np.asarray(size.sum(axis=0) ** 2 / (len(size) * (size**2).sum(axis=0)))


def _quiet(taps: Sequence[Tap], fading: FloatArray, lines: FloatArray) -> FloatArray:
    """Return the power (n_tap, n_line) that the quiet alone would give to each tap.

    A density S [1/Hz], one-sided, gives S/2 times the rate of samples times the sum of
    the squared fading.
    """
    rows = []
    for tap, rate in zip(taps, fading, strict=True):
        hertz = tap.recording.rate_hz
        values = tap.recording.response[tap.quiet : tap.begin - round(_GUARD_S * hertz)]
        if values.size < _LEAST_QUIET_S * hertz:
            continue
        stretch = min(values.size, round(_STRETCH_S * hertz))
        at, density = signal.welch(values, fs=hertz, nperseg=stretch)
        squared = float(np.sum(_fade(tap, rate) ** 2))
        rows.append(np.interp(lines, at, density) / 2.0 * hertz * squared)
    if not rows:
        return np.zeros((len(taps), lines.size))
    # A tap without a quiet of its own takes the mean of the others.
    return np.broadcast_to(np.mean(rows, axis=0), (len(taps), lines.size))
