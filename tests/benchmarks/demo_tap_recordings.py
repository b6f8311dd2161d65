"""Make the recordings of the metric demo's invented test day anew.

python -m tests.benchmarks.demo_tap_recordings FOLDER
"""

import sys
from pathlib import Path

from synthetic_taps import Ringing, ringing, write_wave

# As a phone keeps speech; enough for modes below 1500 Hz, and a small file. [Hz]
RATE_HZ = 8000

# Invented: near the peaks that `demo_test_day` prints, and not the same, as those of a
# machine would be.
RECORDINGS = {
    "taps_quick_change.wav": (
        Ringing(frequency_hz=129.5, damping=0.034),
        Ringing(frequency_hz=162.0, damping=0.032, size=0.45),
        Ringing(frequency_hz=884.0, damping=0.0195, size=0.5),
    ),
    "taps_four_way.wav": (
        Ringing(frequency_hz=134.0, damping=0.035),
        Ringing(frequency_hz=198.0, damping=0.032, size=0.5),
    ),
}
HUM = ((50.0, 0.04), (100.0, 0.015))


def main(folder: Path) -> None:
    """Write the recordings into a folder."""
    for seed, (name, modes) in enumerate(RECORDINGS.items()):
        sound = ringing(modes, taps=6, noise=0.02, hums=HUM, rate=RATE_HZ, seed=seed)
        write_wave(folder / name, sound, RATE_HZ)
        print(folder / name, (folder / name).stat().st_size)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
