"""Who computes a study."""

import pytest

from fea.study import crew
from fea.study.crew import Crew
from geometry.errors import SetupError


def test_a_cluster_that_does_not_answer_is_named(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(crew, "CONNECT_SECONDS", 0.5)
    address = "tcp://127.0.0.1:1"
    wanted = f"--cluster {address}: no scheduler answers there"
    with Crew(address=address) as people, pytest.raises(SetupError, match=wanted):
        _ = people.client


@pytest.mark.parametrize("address", ["nonsense", "ftp://somewhere:1", "127.0.0.1:x"])
def test_what_is_no_address_is_named(
    monkeypatch: pytest.MonkeyPatch, address: str
) -> None:
    monkeypatch.setattr(crew, "CONNECT_SECONDS", 0.5)
    with Crew(address=address) as people, pytest.raises(SetupError, match=address):
        _ = people.client
