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


def test_two_studies_may_run_at_once_and_neither_is_open_to_the_network() -> None:
    # A port that is taken is a warning, and here an error.
    with Crew(workers=1) as one, Crew(workers=1) as other:
        for crew_of_one in (one, other):
            assert crew_of_one.client.submit(sum, (1, 2)).result() == 3
            served = crew_of_one.client.cluster.scheduler.http_server
            places = [each.getsockname()[0] for each in served._sockets.values()]
            assert places == ["127.0.0.1"]


@pytest.mark.parametrize("address", ["nonsense", "ftp://somewhere:1", "127.0.0.1:x"])
def test_what_is_no_address_is_named(
    monkeypatch: pytest.MonkeyPatch, address: str
) -> None:
    monkeypatch.setattr(crew, "CONNECT_SECONDS", 0.5)
    with Crew(address=address) as people, pytest.raises(SetupError, match=address):
        _ = people.client
