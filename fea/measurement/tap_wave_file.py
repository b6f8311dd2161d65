"""Samples of a WAV file of any common format."""

import struct
import warnings
from pathlib import Path

import numpy as np
from scipy.io import wavfile

from fea.measurement.tap_samples import Samples
from geometry.errors import InputError
from geometry.pad import FloatArray

# Bits of an integer sample; 24 bits come shifted up to 32.
_MIDDLE_OF_UNSIGNED = 128.0


def read_wave(path: Path) -> Samples:
    """Return the samples of a WAV file: 8, 16, 24, 32 bit or float, any channels.

    Raises
    ------
    InputError
        The file cannot be read or is coded in another way.
    """
    try:
        with warnings.catch_warnings():
            # Phones add chunks (place, date) that nobody needs here.
            warnings.simplefilter("ignore", wavfile.WavFileWarning)
            rate, data = wavfile.read(path)
    except OSError as error:
        message = f"{path}: cannot be read ({error.strerror}); give the file's name"
        raise InputError(message) from error
    except (ValueError, EOFError, UnboundLocalError, struct.error) as error:
        # The library has no error of its own for a file that ends too soon.
        message = (
            f"{path.name}: is no WAV file that can be read ({error}); it must hold "
            "plain samples (PCM of 8, 16, 24 or 32 bit, or float): save it as WAV, and "
            "do not rename an m4a or mp3"
        )
        raise InputError(message) from error
    channels = np.atleast_2d(np.asarray(data).T)
    step, full_scale = _range(channels)
    values: FloatArray = channels.astype(float)
    if channels.dtype == np.uint8:
        values = values - _MIDDLE_OF_UNSIGNED
    return Samples(
        rate_hz=float(rate),
        channels=values,
        force=None,
        step=step,
        full_scale=full_scale,
    )


def _range(
    channels: "np.ndarray[tuple[int, ...], np.dtype[np.generic]]",
) -> tuple[float, float]:
    """Return the least step and the largest value of a format."""
    kind = channels.dtype
    if kind == np.uint8:
        return 1.0, _MIDDLE_OF_UNSIGNED - 1.0
    if np.issubdtype(kind, np.integer):
        top = float(np.iinfo(kind.name).max)
        shifted = kind == np.int32 and not np.any(channels.view(np.uint32) & 0xFF)
        return (256.0, top - 255.0) if shifted else (1.0, top)
    return 0.0, 1.0
