"""Picture of a tap test: the spectrum with its picks, and how each of them decays."""

from typing import TYPE_CHECKING

import numpy as np

from fea.measurement.tap_evaluation import TapTest
from fea.measurement.tap_pick import Pick
from fea.report.image import Image, picture
from fea.report.palette import FAINT, INK, LOAD
from fea.report.tap_file import tap_lines
from geometry.pad import FloatArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SIZE_INCH = (9.0, 8.4)
HEIGHTS = (3.0, 1.1, 2.2)
FONT_SIZE = 11.0
MOST_DECAYS = 3
LOWEST_DB = -55.0
"""What is further down is noise to the eye."""
NOISE_COLOUR = "#0072b2"
PICK_COLOUR = LOAD
SHOWN_DECAYS = 4.6
"""A ring is drawn until it has sunk by this exponent, to 1 %; then only hum is left."""
ROOM_DB = 10.0
"""Above the curve, for the numbers of the picks."""


def tap_picture(test: TapTest) -> Image:
    """Draw the spectrum with picks, the likeness of the taps, and the decays."""
    return picture(
        tap_figure(test),
        "tap_test",
        alt=" ".join(tap_lines(test)),
        caption=(
            "How loud each frequency rings after the blows, with the peaks that were "
            "picked; how alike the taps are there (1: all the same); and how each pick "
            "dies away in one tap, with what was fitted. A pick whose points leave the "
            "line is not to be trusted."
        ),
    )


def tap_figure(test: TapTest) -> "Figure":
    """Return the figure: two panels over frequency, and a row of decays."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=SIZE_INCH, layout="constrained", facecolor="white")
    loudest = sorted(test.picks, key=lambda pick: -pick.level_db)[:MOST_DECAYS]
    shown = sorted(loudest, key=lambda pick: pick.frequency.value)
    grid = figure.add_gridspec(3, len(shown), height_ratios=HEIGHTS)
    spectrum = figure.add_subplot(grid[0, :])
    likeness = figure.add_subplot(grid[1, :], sharex=spectrum)
    _draw_spectrum(spectrum, test)
    _draw_likeness(likeness, test)
    for column, pick in enumerate(shown):
        _draw_decay(figure.add_subplot(grid[2, column]), pick, _number(test, pick))
    return figure


def _number(test: TapTest, pick: Pick) -> int:
    return test.picks.index(pick) + 1


def _draw_spectrum(axes: "Axes", test: TapTest) -> None:
    spectra = test.spectra
    top = float(spectra.mean_power.max())
    for row, power in enumerate(spectra.power):
        label = "single taps" if row == 0 else None
        axes.plot(
            spectra.frequency_hz, _db(power, top), color=FAINT, lw=0.7, label=label
        )
    mean = "response over force (H1)" if test.has_force else "mean of the taps"
    axes.plot(spectra.frequency_hz, _db(spectra.mean_power, top), color=INK, label=mean)
    noise = "not explained by the force" if test.has_force else "before the blows"
    axes.plot(
        spectra.frequency_hz,
        _db(spectra.noise, top),
        color=NOISE_COLOUR,
        ls=":",
        label=noise,
    )
    _mark_picks(axes, test, top)
    axes.set_ylim(LOWEST_DB, ROOM_DB)
    axes.set_xlim(spectra.frequency_hz[0], spectra.frequency_hz[-1])
    axes.set_ylabel("level (dB)", fontsize=FONT_SIZE)
    axes.set_title(f"Tap test, {len(test.taps)} taps", fontsize=FONT_SIZE, loc="left")
    axes.legend(fontsize=FONT_SIZE - 1.0, loc="upper right")
    axes.grid(color=FAINT, lw=0.4)


def _mark_picks(axes: "Axes", test: TapTest, top: float) -> None:
    spectra = test.spectra
    lines = spectra.frequency_hz
    level = _db(spectra.mean_power, top)
    for number, pick in enumerate(test.picks, 1):
        hertz = pick.frequency.value
        height = float(np.interp(hertz, lines, level))
        label = f"{number}: {hertz:.1f} Hz, damping {pick.damping.value:.1%}"
        axes.plot(hertz, height, "v", color=PICK_COLOUR, ms=8.0, ls="", label=label)
        place = (hertz, height + ROOM_DB / 5.0)
        axes.annotate(str(number), place, ha="center", fontsize=FONT_SIZE, color=INK)
    label = "left out"
    for one in test.rejected:
        height = float(np.interp(one.frequency_hz, lines, level))
        at = (one.frequency_hz, height)
        axes.plot(*at, "x", color=NOISE_COLOUR, ms=9.0, ls="", label=label)
        label = "_left out"


def _draw_likeness(axes: "Axes", test: TapTest) -> None:
    name = "coherence" if test.has_force else "likeness"
    axes.plot(test.spectra.frequency_hz, test.spectra.likeness, color=INK, lw=0.8)
    for pick in test.picks:
        axes.axvline(pick.frequency.value, color=PICK_COLOUR, lw=0.8, ls="--")
    axes.set_ylim(0.0, 1.05)
    axes.set_ylabel(name, fontsize=FONT_SIZE)
    axes.set_xlabel("frequency (Hz)", fontsize=FONT_SIZE)
    axes.grid(color=FAINT, lw=0.4)


def _draw_decay(axes: "Axes", pick: Pick, number: int) -> None:
    decay = pick.decay
    index = int(np.argmin(np.abs(decay.frequency_hz - pick.frequency.value)))
    shown = decay.time_s < SHOWN_DECAYS / float(decay.rate_per_s[index])
    time, envelope, fitted = (
        values[shown] for values in (decay.time_s, decay.envelope, decay.fitted)
    )
    top = float(envelope.max())
    axes.plot(time, envelope / top, "o", color=INK, ms=3.5, label="ring")
    axes.plot(time, fitted / top, color=PICK_COLOUR, label="fitted")
    axes.set_yscale("log")
    axes.set_ylabel("level over the greatest", fontsize=FONT_SIZE)
    axes.set_xlabel("time since the blow (s)", fontsize=FONT_SIZE)
    title = f"{number}: {pick.frequency.value:.1f} Hz, damping {pick.damping.value:.1%}"
    axes.set_title(title, fontsize=FONT_SIZE)
    axes.legend(fontsize=FONT_SIZE - 2.0)
    axes.grid(color=FAINT, lw=0.4)


def _db(power: FloatArray, top: float) -> FloatArray:
    """Return a level under `top`, cut off far below what is shown."""
    floor = top * 10.0 ** (2.0 * LOWEST_DB / 10.0)
    return np.asarray(10.0 * np.log10(np.maximum(power, floor) / top))
