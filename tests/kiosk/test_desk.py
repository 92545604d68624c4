"""The desk: what is asked when, what a touch does, and what can be taken back. No window."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from kiosk.blocks import Button, Column, Line, PageView
from kiosk.client import Ask, Refused, Tell
from kiosk.desk import BACK, UNDO, UNDO_FOR_S, Desk
from kiosk.pages.base import Back, Open, Say, Seen, Stay, Step
from kiosk.words import Words
from tests.kiosk.fakes import FakeClient, document


@dataclass(frozen=True)
class Count:
    """A page that counts touches, opens another, and tells."""

    n: int = 0

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (Ask("things", "/api/things"),)

    def shown(self, seen: Seen) -> PageView:
        return PageView((Column((Line(f"{self.n} {seen.document('things', '')}"),)),), deeds=(Button("tell", "Tell"),))

    def touched(self, seen: Seen, name: str) -> Step | None:
        tell = Tell("told", "/api/journal", {"id": f"entry-{self.n}", "deed": {}})
        return {
            "more": Stay(replace(self, n=self.n + 1)),
            "open": Open(Count(100)),
            "tell": Say(tell, Back(), undo=f"entry-{self.n}", done="Wrapped"),
        }.get(name)


class Bench:
    def __init__(self) -> None:
        self.now_s = 0.0
        self.client = FakeClient()
        self.client.holds["/api/things"] = "all"
        self.desk = Desk(self.client, Words("en"), {"rack": Count()}, lambda: self.now_s)
        self.client.start(lambda: self.desk.take(self.client.latest()))
        self.client.offer(document())
        self.desk.open_screen("rack")

    def line(self) -> str:
        view = self.desk.view()
        assert view is not None
        block = view.columns[0].blocks[0]
        assert isinstance(block, Line)
        return block.text

    def deeds(self) -> dict[str, Button]:
        view = self.desk.view()
        assert view is not None
        return {deed.name: deed for deed in view.deeds}


def test_a_touch_makes_another_state_and_opens_pages_with_a_way_back() -> None:
    bench = Bench()
    bench.desk.touched("more")
    assert bench.line() == "1 all"
    assert BACK not in bench.deeds()
    bench.desk.touched("open")
    assert bench.line() == "100 all"
    bench.desk.touched(BACK)
    assert bench.line() == "1 all"
    bench.desk.touched("open")
    bench.desk.open_screen("rack")  # its place in the bar, touched while it is open
    assert bench.line() == "1 all"


def test_a_page_is_asked_for_once_a_minute_of_the_shop_and_after_every_deed() -> None:
    bench = Bench()
    for n in range(3):
        bench.client.offer({**document(), "version": f"v.{n}"})
    assert len(bench.client.asked) == 1
    later = {**document(), "version": "v.9", "now_ms": document()["now_ms"] + 60_000}
    bench.client.offer(later)
    assert len(bench.client.asked) == 1, "a minute of a clock that runs fast is no reason yet"
    bench.now_s += 6
    bench.client.offer({**later, "version": "v.10"})
    assert len(bench.client.asked) == 2
    bench.desk.touched("tell")
    assert len(bench.client.asked) == 3


def test_what_was_told_can_be_taken_back_for_a_minute() -> None:
    bench = Bench()
    bench.desk.touched("open")
    bench.desk.touched("tell")
    assert bench.line().startswith("0"), "told, and back"
    assert bench.deeds()[UNDO].note == "Wrapped"
    bench.desk.touched(UNDO)
    body = bench.client.told[-1].body
    assert body is not None
    assert body["deed"] == {"kind": "undone", "entry": "entry-100"}
    assert UNDO not in bench.deeds()
    bench.desk.touched("tell")
    bench.now_s += UNDO_FOR_S
    bench.client.offer({**document(), "version": "v.3"})
    assert UNDO not in bench.deeds()


def test_while_it_is_on_its_way_no_deed_is_taken_and_a_refusal_says_why() -> None:
    bench = Bench()
    bench.desk.touched("open")
    bench.client.holds["/api/journal"] = None
    bench.desk.touched("tell")
    view = bench.desk.view()
    assert view is not None
    assert view.note == "Sending"
    assert not bench.deeds()["tell"].enabled
    bench.desk.touched("tell")
    assert len(bench.client.told) == 1
    why = Refused("lot: found 'ash'; would be right: a lot that is there", "lot")
    bench.client._answer_from(bench.client.told[0], why)
    view = bench.desk.view()
    assert view is not None
    assert view.note == f"Not done: {why.text}"
    assert bench.line().startswith("100"), "where it was told"
    bench.desk.touched("more")
    view = bench.desk.view()
    assert view is not None
    assert view.note == ""


def test_another_language_asks_everything_anew() -> None:
    bench = Bench()
    bench.desk.again()
    assert [ask.key for ask in bench.client.asked] == ["things", "things"]
