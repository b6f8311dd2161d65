"""A recording of taps: WAV or CSV in, one response and perhaps a force out."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from fea.measurement.tap_faults import check_level, check_size
from fea.measurement.tap_sample_table import read_sample_table
from fea.measurement.tap_samples import Samples
from fea.measurement.tap_wave_file import read_wave
from geometry.errors import InputError
from geometry.pad import FloatArray

_WAVE_SUFFIXES = {".wav", ".wave"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Recording:
    """One recording of one or several taps.

    Parameters
    ----------
    name : of its file
    rate_hz : samples a second [Hz]
    response : (n_sample,) sound or acceleration, in any unit, its mean taken off
    force : (n_sample,) of the hammer, None without such a channel
    """

    name: str
    rate_hz: float
    response: FloatArray
    force: FloatArray | None


def read_recording(path: Path, force_channel: int | None = None) -> Recording:
    """Read a WAV or CSV file, and refuse what nothing can be learned from.

    Parameters
    ----------
    path : the file; of several responses the loudest is taken
    force_channel : which channel of a WAV file is the hammer's, the first is 1; a
        table names that column force instead

    Raises
    ------
    InputError
    """
    is_wave = path.suffix.lower() in _WAVE_SUFFIXES
    samples = read_wave(path) if is_wave else read_sample_table(path)
    check_size(path.name, samples)
    force = _force_index(path.name, samples, force_channel)
    responses = [i for i in range(len(samples.channels)) if i != force]
    if not responses:
        message = (
            f"{path.name}: its only channel is the hammer's force; record the sound or "
            "the acceleration too"
        )
        raise InputError(message)
    loudest = max(responses, key=lambda i: float(np.std(samples.channels[i])))
    used = [loudest] if force is None else [loudest, force]
    for index in used:
        check_level(path.name, samples, index)
    response, *forces = (_centred(samples.channels[index]) for index in used)
    return Recording(
        name=path.name,
        rate_hz=samples.rate_hz,
        response=response,
        force=forces[0] if forces else None,
    )


def _force_index(name: str, samples: Samples, wanted: int | None) -> int | None:
    if wanted is None:
        return samples.force
    count = len(samples.channels)
    if not 1 <= wanted <= count:
        message = (
            f"{name}: force channel = {wanted}: the file has {count} channel"
            f"{'s' if count > 1 else ''}; the first is 1"
        )
        raise InputError(message)
    return wanted - 1


def _centred(channel: FloatArray) -> FloatArray:
    return np.asarray(channel - channel.mean())
