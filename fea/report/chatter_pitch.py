"""The note that a frequency is nearest to."""

from math import log2

NOTES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
CONCERT_A_HZ = 440.0
"""ISO 16: standard tuning frequency, of the note A4."""
CONCERT_A_NUMBER = 57
"""Semitones from C0 to A4 in equal temperament."""


def note_of(frequency_hz: float) -> str:
    """Nearest note of equal temperament with its octave: F#3 for 187 Hz."""
    semitones = 12.0 * log2(frequency_hz / CONCERT_A_HZ)
    octave, note = divmod(CONCERT_A_NUMBER + round(semitones), len(NOTES))
    return f"{NOTES[note]}{octave}"


def heard(frequency_hz: float) -> str:
    """Frequency in words, with the note that it is near to."""
    return f"{frequency_hz:.0f} Hz, about {note_of(frequency_hz)}"
