"""Every member of the client seam: the fake in memory, and the real one against a real small HTTP server."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from typing import Any, Protocol

import pytest

from kiosk.client import Client, Command
from kiosk.http_client import HttpClient
from tests.kiosk.fakes import FakeClient, SmallServer, document


class Side(Protocol):
    client: Client

    def offer(self, snapshot: dict[str, Any]) -> None: ...
    def lose(self) -> None: ...
    def sent(self) -> list[tuple[str, dict[str, Any]]]: ...
    def refuse(self, reason: str) -> None: ...


class FakeSide:
    def __init__(self) -> None:
        self.fake = FakeClient()
        self.client: Client = self.fake

    def offer(self, snapshot: dict[str, Any]) -> None:
        self.fake.offer(snapshot)

    def lose(self) -> None:
        self.fake.lose()

    def refuse(self, reason: str) -> None:
        self.fake.refuse(reason)

    def sent(self) -> list[tuple[str, dict[str, Any]]]:
        return [(c.path, c.body()) for c in self.fake.sent]

    def close(self) -> None:
        self.client.stop()


class RealSide:
    def __init__(self) -> None:
        self.server = SmallServer(document())
        self.client: Client = HttpClient(self.server.url, wait_s=5)

    def offer(self, snapshot: dict[str, Any]) -> None:
        self.server.offer(snapshot)

    def lose(self) -> None:
        self.server.close()

    def refuse(self, reason: str) -> None:
        self.server.refusal = reason

    def sent(self) -> list[tuple[str, dict[str, Any]]]:
        return list(self.server.posts)

    def close(self) -> None:
        self.client.stop()
        self.server.close()


@pytest.fixture(params=[FakeSide, RealSide], ids=["fake", "http"])
def side(request: pytest.FixtureRequest) -> Iterator[Side]:
    made = request.param()
    yield made
    made.close()


class Watch:
    """Counts changes and waits for a condition without sleeping."""

    def __init__(self, client: Client) -> None:
        self.client = client
        self.changed = threading.Condition()

    def __call__(self) -> None:
        with self.changed:
            self.changed.notify_all()

    def until(self, true: Callable[[], bool], timeout_s: float = 10.0) -> None:
        with self.changed:
            assert self.changed.wait_for(true, timeout_s), self.client.latest()


def started(side: Side) -> Watch:
    watch = Watch(side.client)
    side.client.start(watch)
    side.offer(document())
    watch.until(lambda: side.client.latest().snapshot is not None)
    return watch


def test_nothing_is_known_before_the_start(side: Side) -> None:
    assert side.client.latest().snapshot is None
    assert side.client.latest().link.state == "starting"


def test_a_snapshot_arrives_and_a_newer_one_replaces_it(side: Side) -> None:
    watch = started(side)
    assert side.client.latest().link.state == "live"
    newer = {**document(), "version": "3f9a1c.119"}
    side.offer(newer)
    watch.until(lambda: side.client.latest().snapshot["version"] == "3f9a1c.119")


def test_a_server_that_goes_away_leaves_the_last_snapshot_and_a_reason(side: Side) -> None:
    watch = started(side)
    side.lose()
    watch.until(lambda: side.client.latest().link.state == "away")
    assert side.client.latest().snapshot == document()
    assert "does not answer" in side.client.latest().link.reason


def test_a_deed_is_sent_as_the_contract_says_and_its_outcome_shows(side: Side) -> None:
    watch = started(side)
    command = Command("a1f0", "shelve", hours=8, command_id=document("shelve-request")["command_id"])
    side.client.send(command)
    watch.until(lambda: side.client.latest().outcome is not None and side.client.latest().outcome.status == "done")
    assert side.sent() == [("/api/alerts/a1f0/shelve", document("shelve-request"))]


def test_a_deed_refused_says_why(side: Side) -> None:
    watch = started(side)
    side.refuse("alert: found 'zz'; would be right: the id of an alert in the snapshot")
    side.client.send(Command("zz", "acknowledge"))
    watch.until(lambda: side.client.latest().outcome is not None and side.client.latest().outcome.status == "refused")
    assert side.client.latest().outcome.reason.startswith("alert: found 'zz'")


def test_stopping_twice_and_before_the_start_is_fine(side: Side) -> None:
    side.client.stop()
    side.client.stop()
    assert side.client.latest().snapshot is None
    assert side.client.latest().outcome is None


# ---- what only a wire can do -----------------------------------------------------------------------------------------


@pytest.fixture
def real() -> Iterator[RealSide]:
    made = RealSide()
    yield made
    made.close()


def test_it_asks_for_what_it_has_not_seen_and_waits_there(real: RealSide) -> None:
    started(real)
    assert real.server.wait_for(lambda: len(real.server.queries) >= 2)
    first, second = real.server.queries[:2]
    assert first == {"lang": ["en"], "units": ["metric"]}
    assert second == {"lang": ["en"], "units": ["metric"], "after": ["3f9a1c.118"], "wait_s": ["5"]}


@pytest.mark.parametrize("how", ["drop_posts", "fail_posts"])
def test_a_deed_cut_off_is_sent_again_with_the_same_id(real: RealSide, how: str) -> None:
    watch = started(real)
    setattr(real.server, how, 2)
    real.client.send(Command("a1f0", "acknowledge"))
    watch.until(lambda: real.client.latest().outcome is not None and real.client.latest().outcome.status == "done")
    assert len(real.sent()) == 3
    assert len({body["command_id"] for _, body in real.sent()}) == 1


def test_a_server_that_comes_back_is_found_and_asked_for_everything() -> None:
    server = SmallServer(document())
    port = server.port
    client = HttpClient(server.url, wait_s=5)
    watch = Watch(client)
    client.start(watch)
    watch.until(lambda: client.latest().link.state == "live")
    server.close()
    watch.until(lambda: client.latest().link.state == "away")
    again = SmallServer({**document(), "version": "other.1"}, port=port)
    watch.until(lambda: client.latest().snapshot["version"] == "other.1")
    assert client.latest().link.state == "live"
    assert "after" not in again.queries[0]
    client.stop()
    again.close()


def test_an_answer_that_cannot_be_shown_is_an_absence_with_its_reason() -> None:
    server = SmallServer(document())
    server.raw = b'{"version": "x.1"}'
    client = HttpClient(server.url, wait_s=1)
    watch = Watch(client)
    client.start(watch)
    watch.until(lambda: client.latest().link.state == "away")
    assert "snapshot.now_ms: found nothing; would be right: a whole number of ms" in client.latest().link.reason
    server.raw = b"<html>"
    watch.until(lambda: "would be right: a JSON document" in client.latest().link.reason)
    server.close()
    client.stop()


def test_a_server_that_answers_at_once_with_the_same_is_not_hammered(real: RealSide) -> None:
    real.server.waits = False
    started(real)
    assert not real.server.wait_for(lambda: len(real.server.queries) > 4, timeout_s=1.5)


def test_stop_ends_a_waiting_poll_within_a_second(real: RealSide) -> None:
    started(real)
    assert real.server.wait_for(lambda: len(real.server.queries) >= 2)
    thread = real.client._thread  # type: ignore[attr-defined]
    real.client.stop()
    assert not thread.is_alive()


def test_a_deed_before_the_first_connection_is_not_lost() -> None:
    server = SmallServer(document())
    client = HttpClient(server.url)
    client.send(Command("a1f0", "acknowledge"))
    client.start(lambda: None)
    assert server.wait_for(lambda: len(server.posts) == 1)
    client.stop()
    server.close()
