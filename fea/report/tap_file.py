"""Picks of a tap test as a record file, which a fit can read."""

import csv
from io import StringIO

from fea.measurement.place_words import heading_words
from fea.measurement.record import Spot
from fea.measurement.tap_blow import Blow
from fea.measurement.tap_evaluation import TapTest
from fea.measurement.tap_kind import TAP
from fea.measurement.tap_pick import Pick

_PER_CENT = 100.0


def tap_file(test: TapTest, blow: Blow) -> str:
    """Return the text of the file: what was found in comments, then a row a pick."""
    text = StringIO()
    text.writelines(f"# {line}\n" for line in tap_lines(test))
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(column.header for column in TAP.columns)
    heard = ["", "", "", ""] if blow.heard is None else _spot(blow.heard)
    for pick in test.picks:
        struck = [*_spot(blow.struck), heading_words(blow.struck_along)]
        writer.writerow([blow.stack, *struck, *heard, "", *_numbers(pick)])
    return text.getvalue()


def tap_lines(test: TapTest) -> list[str]:
    """Return what was found, a sentence for each peak."""
    names = ", ".join(dict.fromkeys(tap.recording.name for tap in test.taps))
    likeness = "coherence" if test.has_force else "likeness of the taps"
    return [
        f"Tap test, {len(test.taps)} taps in {names}.",
        *(_sentence(pick, likeness) for pick in test.picks),
        *(f"Left out: {one.frequency_hz:.1f} Hz {one.why}." for one in test.rejected),
    ]


def _sentence(pick: Pick, likeness: str) -> str:
    width = "another peak too close to read the half-power width"
    if pick.by_width is not None:
        width = f"{pick.by_width.value:.2%} by half-power width"
    return (
        f"{pick.frequency.value:.1f} +- {pick.frequency.deviation:.2g} Hz, damping "
        f"{pick.damping.value:.2%} +- {pick.damping.deviation:.2%} of critical "
        f"({pick.by_decay.value:.2%} by logarithmic decrement, {width}), {likeness} "
        f"{pick.likeness:.2f}, {pick.level_db:.0f} dB, in {pick.taps} taps."
    )


def _spot(spot: Spot) -> list[str]:
    return [spot.part, *(f"{x:.6g}" for x in (spot.x_mm, spot.y_mm, spot.z_mm))]


def _numbers(pick: Pick) -> list[str]:
    numbers = (
        pick.frequency.value,
        pick.frequency.deviation,
        pick.damping.value * _PER_CENT,
        pick.damping.deviation * _PER_CENT,
    )
    return [f"{number:.5g}" for number in numbers]
