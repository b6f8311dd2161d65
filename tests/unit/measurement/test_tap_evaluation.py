"""Taps are found, hum is left out, repeats and a force sensor are made use of."""

from pathlib import Path

import numpy as np
import pytest
from scipy import signal
from synthetic_taps import FIRST_S, Ringing, recording, ringing, write_wave

from fea.measurement.place_words import DIRECTIONS
from fea.measurement.read_records import read_records
from fea.measurement.tap_evaluation import evaluate_taps
from fea.measurement.tap_onset import find_taps
from fea.measurement.tap_recording import Recording, read_recording
from geometry.errors import InputError

MODE = Ringing(frequency_hz=231.0, damping=0.03)
RATE = 8000


def test_every_tap_is_found_where_it_was_struck() -> None:
    taps = find_taps(recording(ringing([MODE], taps=4, rate=RATE), rate=RATE))
    assert len(taps) == 4
    for number, tap in enumerate(taps):
        late = tap.begin / RATE - (FIRST_S + number)
        assert 0.0 <= late <= 0.04 + 0.01  # blows come up to 40 ms late


@pytest.mark.parametrize("mains", [50.0, 60.0])
def test_hum_is_left_out_and_said(mains: float) -> None:
    hums = [(mains, 0.3), (3.0 * mains, 0.2)]
    test = evaluate_taps([recording(ringing([MODE], hums=hums))])
    (pick,) = test.picks
    assert pick.frequency.value == pytest.approx(MODE.frequency_hz, rel=5e-3)
    left_out = [one.frequency_hz for one in test.rejected]
    for hertz, _ in hums:
        assert np.min(np.abs(np.array(left_out) - hertz)) < 1.0
    assert all("before the blow" in one.why for one in test.rejected)


def test_hum_beside_a_mode_spoils_neither_frequency_nor_damping() -> None:
    sound = ringing([MODE], noise=0.02, hums=[(50.0, 0.2), (250.0, 0.1)], rate=RATE)
    (pick,) = evaluate_taps([recording(sound, rate=RATE)]).picks
    assert pick.frequency.value == pytest.approx(MODE.frequency_hz, rel=2e-3)
    assert pick.damping.value == pytest.approx(MODE.damping, rel=0.1)


def test_a_bounce_on_one_of_five_taps_is_set_aside() -> None:
    sound = ringing([MODE], rate=RATE)
    late, end = round(0.06 * RATE), round(1.3 * RATE)
    sound[late:end] += 0.5 * sound[: end - late]
    (pick,) = evaluate_taps([recording(sound, rate=RATE)]).picks
    assert pick.by_decay.value == pytest.approx(MODE.damping, rel=0.05)
    assert abs(pick.damping.value - MODE.damping) < 2.0 * pick.damping.deviation


def test_a_recording_that_begins_with_the_blow_is_enough() -> None:
    sound = ringing([MODE], taps=1, rate=RATE)[round((FIRST_S + 0.04) * RATE) :]
    (pick,) = evaluate_taps([recording(sound, rate=RATE)]).picks
    assert pick.frequency.value == pytest.approx(MODE.frequency_hz, rel=2e-3)
    assert pick.damping.value == pytest.approx(MODE.damping, rel=0.1)


def test_pure_hum_is_no_tap() -> None:
    time = np.arange(2 * RATE) / RATE
    sound = np.sin(2.0 * np.pi * 50.0 * time)
    with pytest.raises(InputError, match=r"no tap stands out|no peak"):
        evaluate_taps([recording(sound, rate=RATE)])


def test_noise_alone_is_no_tap() -> None:
    with pytest.raises(InputError, match="no tap stands out"):
        evaluate_taps([recording(ringing([], rate=RATE), rate=RATE)])


def test_several_files_are_one_test() -> None:
    parts = [
        recording(ringing([MODE], taps=1, rate=rate, seed=rate), rate=rate)
        for rate in (8000, 11025, 8000)
    ]
    (pick,) = evaluate_taps(parts).picks
    assert pick.taps == 3


def test_more_taps_make_the_frequency_surer() -> None:
    def deviation(taps: int) -> float:
        sound = ringing([MODE], taps=taps, noise=0.1, rate=RATE)
        return evaluate_taps([recording(sound, rate=RATE)]).picks[0].frequency.deviation

    # One over the root of 16 is a fourth; a scatter from few taps is itself uncertain.
    assert deviation(16) < 0.6 * deviation(1)


def hammered(noise: float) -> Recording:
    """Half-sine blows on one mode, with the force beside the response."""
    random = np.random.default_rng(2)
    force = np.zeros(6 * RATE)
    blow = np.sin(np.linspace(0.0, np.pi, 9))
    for second in range(1, 6):
        force[second * RATE : second * RATE + blow.size] = random.uniform(1, 2) * blow
    time = np.arange(RATE) / RATE
    response = signal.fftconvolve(force, MODE.after(time))[: force.size]
    response = response + noise * random.standard_normal(force.size)
    return Recording(name="hammer", rate_hz=RATE, response=response, force=force)


def test_a_force_sensor_gives_coherence_and_the_same_mode() -> None:
    test = evaluate_taps([hammered(noise=0.02)])
    assert test.has_force
    pick = max(test.picks, key=lambda each: each.level_db)
    assert pick.frequency.value == pytest.approx(MODE.frequency_hz, rel=2e-3)
    assert pick.damping.value == pytest.approx(MODE.damping, rel=0.1)
    assert pick.likeness > 0.99
    lines = test.spectra.frequency_hz
    # Far from the mode little but noise is left, which no force explains.
    far = test.spectra.likeness[lines > 1200.0]
    assert far.mean() < 0.95


def test_taps_that_differ_are_less_alike() -> None:
    other = Ringing(frequency_hz=260.0, damping=0.03)
    alike = recording(ringing([MODE], taps=4, rate=RATE), rate=RATE)
    odd = recording(ringing([other], taps=4, rate=RATE), rate=RATE)

    def likeness(*parts: Recording) -> float:
        spectra = evaluate_taps(parts).spectra
        return float(np.interp(231.0, spectra.frequency_hz, spectra.likeness))

    assert likeness(alike) > 0.99
    assert likeness(alike, odd) < 0.9


def test_a_row_may_name_its_recording(tmp_path: Path) -> None:
    write_wave(tmp_path / "taps.wav", ringing([MODE], rate=RATE), RATE)
    table = tmp_path / "tap.csv"
    table.write_text(
        "stack,struck part,strike direction,recording\nfour-way,tip,down,taps.wav\n"
    )
    (tap,) = read_records([table]).taps
    assert tap.frequency_hz == pytest.approx(MODE.frequency_hz, rel=2e-3)
    assert (tap.struck_along.x, tap.struck_along.y, tap.struck_along.z) == (
        DIRECTIONS["down"]
    )
    assert tap.heard is None
    assert tap.source.line == 2


def test_the_demo_recordings_have_the_modes_they_were_made_of() -> None:
    path = Path(__file__).parents[3] / "cases/garden_railway_records"
    for name, first in (("taps_quick_change.wav", 129.5), ("taps_four_way.wav", 134.0)):
        test = evaluate_taps([read_recording(path / name)])
        loudest = max(test.picks, key=lambda pick: pick.level_db)
        assert loudest.frequency.value == pytest.approx(first, rel=5e-3)
