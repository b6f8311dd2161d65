"""Recordings in every format are read alike; useless ones say what is wrong."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from scipy.io import wavfile
from synthetic_taps import Ringing, ringing, write_wave

from fea.measurement.tap_recording import read_recording
from geometry.errors import InputError
from geometry.pad import FloatArray

RATE = 8000
SOUND = ringing([Ringing(frequency_hz=231.0, damping=0.03)], taps=1, rate=RATE)
SOUND = 0.6 * SOUND / np.abs(SOUND).max()


def write_24_bit(path: Path, sound: FloatArray) -> None:
    values = (sound * (2**23 - 1)).astype("<i4")
    raw = values.view(np.uint8).reshape(-1, 4)[:, :3].tobytes()
    head = b"RIFF" + np.uint32(36 + len(raw)).tobytes() + b"WAVEfmt "
    sizes = np.array([16], "<u4").tobytes() + np.array([1, 1], "<u2").tobytes()
    rates = (
        np.array([RATE, 3 * RATE], "<u4").tobytes() + np.array([3, 24], "<u2").tobytes()
    )
    path.write_bytes(
        head + sizes + rates + b"data" + np.uint32(len(raw)).tobytes() + raw
    )


WRITERS: dict[str, tuple[Callable[[Path], None], float]] = {
    "8 bit": (
        lambda path: wavfile.write(path, RATE, (128 + 127 * SOUND).astype(np.uint8)),
        1 / 127,
    ),
    "16 bit": (lambda path: write_wave(path, SOUND, RATE), 1 / 2**15),
    "24 bit": (lambda path: write_24_bit(path, SOUND), 1 / 2**23),
    "32 bit": (
        lambda path: wavfile.write(path, RATE, (SOUND * (2**31 - 1)).astype(np.int32)),
        1 / 2**30,
    ),
    "float": (lambda path: wavfile.write(path, RATE, SOUND.astype(np.float32)), 1e-7),
    "stereo": (
        lambda path: wavfile.write(
            path, RATE, np.array([0.1 * SOUND, SOUND], np.float32).T
        ),
        1e-7,
    ),
}


@pytest.mark.parametrize("name", WRITERS)
def test_every_format_gives_the_same_sound(name: str, tmp_path: Path) -> None:
    write, step = WRITERS[name]
    path = tmp_path / "sound.wav"
    write(path)
    found = read_recording(path)
    assert found.rate_hz == RATE
    scaled = found.response / np.abs(found.response).max()
    wanted = (SOUND - SOUND.mean()) / np.abs(SOUND - SOUND.mean()).max()
    # A step of the format on the sound, on its mean and on its greatest value.
    assert np.abs(scaled - wanted).max() < 3.0 * step / 0.6


def test_a_table_reads_as_well_as_a_sound(tmp_path: Path) -> None:
    path = tmp_path / "tap.csv"
    rows = (f"{1000.0 * k / RATE:.4f},{v:.6e}" for k, v in enumerate(SOUND))
    path.write_text("# logger\ntime [ms],acceleration [m/s2]\n" + "\n".join(rows))
    found = read_recording(path)
    assert found.rate_hz == pytest.approx(RATE, rel=1e-9)
    assert np.allclose(found.response, SOUND - SOUND.mean(), atol=1e-6)


def test_the_hammer_is_kept_apart(tmp_path: Path) -> None:
    path = tmp_path / "two.wav"
    force = np.roll(SOUND, 3)
    wavfile.write(path, RATE, np.array([force, 0.2 * SOUND], np.float32).T)
    found = read_recording(path, force_channel=1)
    assert found.force is not None
    assert np.corrcoef(found.force, force)[0, 1] == pytest.approx(1.0, abs=1e-6)
    assert np.corrcoef(found.response, SOUND)[0, 1] == pytest.approx(1.0, abs=1e-6)


def clipped(path: Path) -> None:
    wavfile.write(path, RATE, np.clip(SOUND, -0.35, 0.35).astype(np.float32))


def clipped_at_the_end_of_the_scale(path: Path) -> None:
    loud = np.clip(3.0 * SOUND, -1.0, 1.0) * 32767.0
    wavfile.write(path, RATE, loud.astype(np.int16))


def silent(path: Path) -> None:
    wavfile.write(path, RATE, np.zeros(RATE, np.int16))


def short(path: Path) -> None:
    wavfile.write(path, RATE, (30000.0 * SOUND[: RATE // 10]).astype(np.int16))


def slow(path: Path) -> None:
    wavfile.write(path, 800, (30000.0 * SOUND).astype(np.int16))


def renamed(path: Path) -> None:
    path.write_bytes(b"\0\0\0\x20ftypM4A isommp42" + bytes(500))


def cut_off(path: Path) -> None:
    write_wave(path, SOUND, RATE)
    path.write_bytes(path.read_bytes()[:30])


def empty(path: Path) -> None:
    path.write_bytes(b"")


@pytest.mark.parametrize(
    ("write", "says"),
    [
        (clipped, "is clipped.*cut off flat"),
        (clipped_at_the_end_of_the_scale, "is clipped"),
        (silent, "is silent"),
        (short, "too short"),
        (slow, "800 samples a second, at least 2000"),
        (renamed, "no WAV file.*m4a"),
        (cut_off, "no WAV file"),
        (empty, "no WAV file"),
    ],
)
def test_a_useless_recording_says_why(
    write: Callable[[Path], None], says: str, tmp_path: Path
) -> None:
    path = tmp_path / "sound.wav"
    write(path)
    with pytest.raises(InputError, match=f"sound.wav.*{says}"):
        read_recording(path)


def test_a_coarse_peak_is_not_taken_for_a_clipped_one(tmp_path: Path) -> None:
    """Eight bits make a slow swing flat at its top."""
    path = tmp_path / "sound.wav"
    time = np.arange(44100) / 44100
    swing = np.exp(-3.0 * time) * np.sin(2.0 * np.pi * 100.0 * time)
    wavfile.write(path, 44100, (128.0 + 100.0 * swing).astype(np.uint8))
    assert read_recording(path).rate_hz == 44100


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("time,sound\n0,1\n1,2", "column 'time': must say the unit"),
        ("time [kg],sound\n0,1\n1,2", "must say the unit of time"),
        ("time [s],voltage\n0,1\n1,2", "has the columns time, voltage"),
        ("time [s],sound\n0,1\n0.1,x\n0.2,1", "line 3: could not convert"),
        ("time [s],sound\n0,1\n0.1,2\n0.2,3\n0.4,1", "line 5.*even steps"),
        ("time [s],sound\n0,1\n0.1,nan\n0.2,1", "line 3: holds a number that is not"),
    ],
)
def test_a_useless_table_says_why(text: str, says: str, tmp_path: Path) -> None:
    path = tmp_path / "sound.csv"
    path.write_text(text)
    with pytest.raises(InputError, match=says):
        read_recording(path)


def test_a_force_channel_that_is_not_there_is_named(tmp_path: Path) -> None:
    path = tmp_path / "sound.wav"
    write_wave(path, SOUND, RATE)
    with pytest.raises(InputError, match="force channel = 2: the file has 1 channel"):
        read_recording(path, force_channel=2)
    with pytest.raises(InputError, match="only channel is the hammer"):
        read_recording(path, force_channel=1)
