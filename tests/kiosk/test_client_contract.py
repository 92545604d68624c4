"""Every member of the client seam: the fake in memory, and the real one against a real small HTTP server."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from typing import Any, Protocol

import pytest

from kiosk import http_client
from kiosk.client import Answer, Ask, Client, Command, Refused, Tell
from kiosk.http_client import HttpClient
from tests.kiosk.fakes import FakeClient, SmallServer, document


class Side(Protocol):
    client: Client

    def offer(self, snapshot: dict[str, Any]) -> None: ...
    def lose(self) -> None: ...
    def sent(self) -> list[tuple[str, dict[str, Any]]]: ...
    def refuse(self, reason: str) -> None: ...
    def hold(self, path: str, document: Any) -> None: ...
    def speak(self, language: str, snapshot: dict[str, Any]) -> None: ...
    def asked_in(self) -> tuple[str, str]: ...


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

    def hold(self, path: str, document: Any) -> None:
        self.fake.holds[path] = document

    def speak(self, language: str, snapshot: dict[str, Any]) -> None:
        self.fake.speaks[language] = snapshot

    def asked_in(self) -> tuple[str, str]:
        return self.fake.used[-1]

    def sent(self) -> list[tuple[str, dict[str, Any]]]:
        return [(c.path, c.body()) for c in self.fake.sent] + [(t.path, dict(t.body or {})) for t in self.fake.told]

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

    def hold(self, path: str, document: Any) -> None:
        said = (200, document)
        if isinstance(document, Refused):
            more = {"field": document.field, "found": document.found, "would_be_right": document.would_be_right}
            said = (422, {"title": "Not understood", "detail": document.text, **more})
        self.server.holds[path] = None if document is None else said

    def speak(self, language: str, snapshot: dict[str, Any]) -> None:
        self.server.speaks[language] = snapshot

    def asked_in(self) -> tuple[str, str]:
        query = self.server.queries[-1]
        return query["lang"][0], query["units"][0]

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


def answer(side: Side, key: str) -> Answer | None:
    return side.client.latest().answers.get(key)


def answered(watch: Watch, side: Side, key: str) -> Answer:
    watch.until(lambda: (now := answer(side, key)) is not None and now.status != "sending")
    found = answer(side, key)
    assert found is not None
    return found


def test_what_is_asked_is_answered_under_its_key(side: Side) -> None:
    watch = started(side)
    side.hold("/api/lots", [{"id": "ash"}])
    side.client.ask(Ask("lots", "/api/lots", (("order", "worst"),)))
    found = answered(watch, side, "lots")
    assert (found.status, found.document) == ("here", [{"id": "ash"}])
    assert side.client.latest().snapshot is not None  # and nothing else is another


def test_asked_again_the_earlier_answer_stays_until_the_new_one_is_there(side: Side) -> None:
    watch = started(side)
    side.hold("/api/lots", ["old"])
    side.client.ask(Ask("lots", "/api/lots"))
    answered(watch, side, "lots")
    side.hold("/api/lots", None)
    side.client.ask(Ask("lots", "/api/lots"))
    now = answer(side, "lots")
    assert now is not None
    assert (now.status, now.document) == ("sending", ["old"])


def test_another_question_under_the_same_key_takes_the_place_of_the_first(side: Side) -> None:
    watch = started(side)
    side.hold("/api/lots/ash", None)
    side.hold("/api/lots/oak", {"id": "oak"})
    side.client.ask(Ask("lot", "/api/lots/ash"))
    side.client.ask(Ask("lot", "/api/lots/oak"))
    assert answered(watch, side, "lot").document == {"id": "oak"}


def test_a_refusal_says_where_what_was_found_and_what_would_be_right(side: Side) -> None:
    watch = started(side)
    why = Refused("width_mm: found -3; would be right: 1 to 3,000 mm", "width_mm", "-3", "1 to 3,000 mm")
    side.hold("/api/book/movement", why)
    side.client.ask(Ask("movement", "/api/book/movement", body={"width_mm": -3}))
    found = answered(watch, side, "movement")
    assert (found.status, found.refused) == ("refused", why)


def test_what_is_told_arrives_with_its_body_and_is_answered(side: Side) -> None:
    watch = started(side)
    side.hold("/api/journal", {"done": True, "repeated": False})
    body = {"id": "kiosk-0001", "deed": {"kind": "wrapped", "lot": "ash"}}
    side.client.tell(Tell("deed", "/api/journal", body))
    assert answered(watch, side, "deed").document == {"done": True, "repeated": False}
    assert ("/api/journal", body) in side.sent()


def test_what_is_forgotten_is_no_longer_shown(side: Side) -> None:
    watch = started(side)
    side.hold("/api/lots", ["old"])
    side.client.ask(Ask("lots", "/api/lots"))
    answered(watch, side, "lots")
    side.client.forget(["lots", "never-asked"])
    assert answer(side, "lots") is None


def test_the_client_of_the_wire_sends_again_what_was_cut_off(monkeypatch: pytest.MonkeyPatch) -> None:
    side = RealSide()
    try:
        watch = started(side)
        side.server.drop_posts, side.server.fail_posts = 1, 1
        body = {"id": "kiosk-0002", "deed": {"kind": "wrapped", "lot": "ash"}}
        side.client.tell(Tell("deed", "/api/journal", body))
        assert answered(watch, side, "deed").status == "here"
        assert side.sent() == [("/api/journal", body)] * 3
    finally:
        side.close()


def test_a_question_that_the_server_cannot_answer_fails_and_says_why(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(http_client, "ASK_TRIES_FOR_S", 0.3)
    side = RealSide()
    try:
        watch = started(side)
        side.server.holds["/api/lots"] = (500, {"title": "A bug"})
        side.client.ask(Ask("lots", "/api/lots"))
        found = answered(watch, side, "lots")
        assert (found.status, found.refused) == ("failed", Refused("A bug"))
        side.server.holds["/api/lots"] = (200, ["here"])
        side.client.ask(Ask("lots", "/api/lots"))
        assert answered(watch, side, "lots").document == ["here"]
    finally:
        side.close()


def test_another_language_is_asked_for_at_once_and_whole(side: Side) -> None:
    """The version stays the same: only what is said differs."""
    watch = started(side)
    german = document()
    german["band"]["title"]["text"] = "Der Bankraum trocknet aus"
    side.speak("de", german)
    side.client.use("de", "imperial")
    watch.until(lambda: side.client.latest().snapshot == german)
    assert side.client.latest().link.state == "live"
    assert side.asked_in() == ("de", "imperial")
    assert german["version"] == document()["version"]


def test_units_alone_are_asked_for_too_while_a_poll_is_open(real: RealSide) -> None:
    started(real)
    assert real.server.wait_for(lambda: len(real.server.queries) >= 2)
    real.client.use("en", "imperial")
    assert real.server.wait_for(lambda: len(real.server.queries) >= 4)
    assert real.server.queries[2] == {"lang": ["en"], "units": ["imperial"]}, "all of it, at once"
    assert real.server.queries[3]["after"] == ["3f9a1c.118"], "then what is new"
