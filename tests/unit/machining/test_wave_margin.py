import numpy as np
import pytest

from fea.machining.wave_margin import factor_at, lowest_share, turns_at

COUNT = 200


def drawn() -> list[tuple[complex, complex]]:
    """Stretches anywhere about 0, some with an end where no cut chatters."""
    random = np.random.default_rng(3)
    begin, end = random.normal(size=(2, 2, COUNT))
    steps = 0.3 * (end[0] + 1j * end[1])
    return list(zip((begin[0] + 1j * begin[1]).tolist(), steps.tolist(), strict=True))


def test_the_lowest_margin_of_a_stretch_is_that_of_many_tries() -> None:
    tries = np.array(
        [
            min(factor_at(q + share * step) for share in np.linspace(0.0, 1.0, 4001))
            for q, step in drawn()
        ]
    )
    found = np.array(
        [factor_at(q + lowest_share(q, step) * step) for q, step in drawn()]
    )
    some = np.isfinite(tries)
    assert some.any()
    assert not some.all()
    assert (found[some] <= tries[some] * (1.0 + 1e-12)).all()
    # Level at the least: a step of 1/4000 is off by its square, more near Re q = 0.
    assert found[some] == pytest.approx(tries[some], rel=0.02)
    assert np.isinf(found[~some]).all()


def test_at_its_margin_a_cut_turns_the_waves_into_what_the_loop_needs() -> None:
    points = [q + 0.4 * step for q, step in drawn()]
    chattering = [q for q in points if np.isfinite(factor_at(q))]
    assert 0 < len(chattering) < COUNT
    for q in chattering:
        # Turns at a speed so high that w tau is nothing are those of -theta.
        theta = -2.0 * np.pi * turns_at(q, 300.0, 1e15)
        waves = 1.0 - np.exp(-1j * theta)
        assert factor_at(q) * waves == pytest.approx(q, rel=1e-9)


@pytest.mark.parametrize("begin", [0.2 + 1.0j, 0.2 - 1.0j])
def test_turns_do_not_jump_where_chatter_begins_or_ends(begin: complex) -> None:
    turns = [
        turns_at(begin - 0.4 * share, 100.0, 10.0)
        for share in np.linspace(0.0, 1.0, 101)
    ]
    assert np.abs(np.diff(turns)).max() < 0.01
