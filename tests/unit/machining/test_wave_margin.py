import numpy as np
import pytest

from fea.machining.wave_margin import Pieces

COUNT = 200


def drawn() -> Pieces:
    """Pieces anywhere about 0, some of them with an end where no cut chatters."""
    random = np.random.default_rng(3)
    begin, end = random.normal(size=(2, 2, COUNT))
    q = begin[0] + 1j * begin[1]
    hertz = random.uniform(100.0, 500.0, COUNT)
    return Pieces(
        cut=np.arange(COUNT),
        q=q,
        q_step=0.3 * (end[0] + 1j * end[1]),
        hertz=hertz,
        hertz_step=0.01 * hertz,
    )


def test_the_lowest_margin_of_a_piece_is_that_of_many_tries() -> None:
    pieces = drawn()
    tries = np.array(
        [pieces.factor(np.full(COUNT, share)) for share in np.linspace(0.0, 1.0, 4001)]
    ).min(axis=0)
    found = pieces.factor(pieces.lowest())
    some = np.isfinite(tries)
    assert some.any()
    assert not some.all()
    assert (found[some] <= tries[some] * (1.0 + 1e-12)).all()
    # Level at the least: a step of 1/4000 is off by its square, more near Re q = 0.
    assert found[some] == pytest.approx(tries[some], rel=0.02)
    assert np.isinf(found[~some]).all()


def test_at_its_margin_a_cut_turns_the_waves_into_what_the_loop_needs() -> None:
    pieces = drawn()
    share = np.full(COUNT, 0.4)
    factor = pieces.factor(share)
    q = (pieces.q + share * pieces.q_step)[np.isfinite(factor)]
    # Turns at a speed so high that w tau is nothing are those of -theta.
    theta = -2.0 * np.pi * pieces.turns(share, np.full(COUNT, 1e15))
    waves = 1.0 - np.exp(-1j * theta[np.isfinite(factor)])
    assert factor[np.isfinite(factor)] * waves == pytest.approx(q, rel=1e-9)


def test_turns_do_not_jump_where_chatter_begins_or_ends() -> None:
    across = np.array([0.2 + 1.0j, 0.2 - 1.0j])
    pieces = Pieces(
        cut=np.arange(2),
        q=across,
        q_step=np.array([-0.4 + 0.0j, -0.4 + 0.0j]),
        hertz=np.full(2, 100.0),
        hertz_step=np.zeros(2),
    )
    speed = np.full(2, 10.0)
    turns = [
        pieces.turns(np.full(2, each), speed) for each in np.linspace(0.0, 1.0, 101)
    ]
    assert np.abs(np.diff(turns, axis=0)).max() < 0.01
