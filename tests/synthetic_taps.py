"""Recordings of taps made up from known modes, noise and hum."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.io import wavfile

from fea.measurement.tap_recording import Recording
from geometry.pad import FloatArray

FIRST_S = 0.4  # quiet before the first blow


@dataclass(frozen=True, slots=True, kw_only=True)
class Ringing:
    """One mode: its natural frequency, damping and how loud it is.

    Parameters
    ----------
    frequency_hz : without damping [Hz]
    damping : share of critical
    size : first amplitude
    """

    frequency_hz: float
    damping: float
    size: float = 1.0

    def after(self, time: FloatArray) -> FloatArray:
        """Return the free vibration from the blow on, (n_sample,)."""
        omega = 2.0 * np.pi * self.frequency_hz
        damped = omega * np.sqrt(1.0 - self.damping**2)
        fading = np.exp(-self.damping * omega * time)
        return np.asarray(self.size * fading * np.sin(damped * time))


def ringing(
    modes: Sequence[Ringing],
    taps: int = 5,
    noise: float = 0.01,
    hums: Sequence[tuple[float, float]] = (),
    rate: int = 44100,
    apart: float = 1.0,
    seed: int = 1,
) -> FloatArray:
    """Return the samples of several taps of different strength.

    Parameters
    ----------
    modes : what rings after each blow
    taps : how many blows
    noise : deviation of white noise
    hums : frequency [Hz] and amplitude of steady tones
    rate : samples a second [Hz]
    apart : between blows [s]
    seed : of noise and blows
    """
    random = np.random.default_rng(seed)
    time = np.arange(round((FIRST_S + taps * apart) * rate)) / rate
    sound = noise * random.standard_normal(time.size)
    for hertz, size in hums:
        sound += size * np.sin(2.0 * np.pi * hertz * time + 0.7)
    for blow in range(taps):
        # Nobody taps to the beat of the sampling clock.
        start = FIRST_S + blow * apart + random.uniform(0.0, 0.04)
        strength = random.uniform(0.7, 1.3)
        later = time >= start
        for mode in modes:
            sound[later] += strength * mode.after(time[later] - start)
    return sound


def recording(sound: FloatArray, rate: int = 44100) -> Recording:
    """Return samples as a recording without a force."""
    centred = sound - sound.mean()
    return Recording(name="made_up", rate_hz=float(rate), response=centred, force=None)


def write_wave(path: Path, sound: FloatArray, rate: int, peak: float = 0.6) -> None:
    """Write samples as 16 bit WAV, the largest at `peak` of the full scale."""
    scaled = sound / np.abs(sound).max() * peak * np.iinfo(np.int16).max
    wavfile.write(path, rate, scaled.astype(np.int16))
