"""Setup: its pages from the demo server's own documents, and what a touch asks of the server. No window."""

from __future__ import annotations

import re
from uuid import UUID

import pytest

from kiosk.blocks import Keyboard, Line, Questions, Table
from kiosk.client import Refused
from kiosk.pages.base import Use
from kiosk.pages.setup_words import raw_lines
from kiosk.words import languages
from tests.kiosk.fakes import answer, document
from tests.kiosk.test_pages import Hand

COPIED = {"done": True, "repeated": False, "file": "/var/record/record-20270112T124300Z.sqlite", "bytes": 59_654_144}


def hand(language: str = "en") -> Hand:
    """At Setup's first page, with the server's answers behind it."""
    one = Hand("setup", language)
    one.client.holds |= {f"/api/{name}": answer(name) for name in ("sources", "health", "remotes")}
    one.client.holds["/api/store/backup"] = COPIED
    return one


def lines(one: Hand) -> list[str]:
    return [line.text for line in one.blocks(Line)]


def rows(one: Hand) -> dict[str, str]:
    return {row.label: row.value for table in one.blocks(Table) for row in table.rows}


@pytest.mark.parametrize("language", languages())
def test_every_page_of_setup_says_something_in_every_language(language: str) -> None:
    one = hand(language)
    for page in ("language", "sources", "zones", "record", "machine", "ruler"):
        one.touch(f"setup:{page}")
        view = one.desk.view()
        assert view is not None
        assert view.columns
        one.touch("desk:back")


def test_a_touch_changes_the_language_and_another_the_units() -> None:
    one, used = hand(), list[Use]()
    one.desk.used = used.append
    one.touch("setup:language", "lang:de", "units:imperial")
    assert used == [Use(lang="de"), Use(units="imperial")]


def test_a_wire_that_does_not_listen_stands_first_and_says_so() -> None:
    one = hand()
    found = answer("sources")
    found[2] |= {"state": "lost", "last_error": "no such port"}
    one.client.holds["/api/sources"] = found
    (block,) = one.touch("setup:sources").blocks(Questions)
    assert [(row.title, row.said, row.word) for row in block.rows] == [
        ("loft-bus", "lost", "look"), ("bench-port", "listening", ""), ("shop-broker", "listening", ""),
    ]  # fmt: skip
    one.touch("source:loft-bus")
    assert rows(one)["State"] == "lost"
    assert rows(one)["Connected by"] == "Modbus"
    assert "no such port" in lines(one)


def test_the_last_words_of_a_wire_stand_as_they_came() -> None:
    one = hand().touch("setup:sources", "source:bench-port")
    assert lines(one)[-1] == "T=68.0F RH=30.6" or lines(one)[-1].startswith("T=")
    assert raw_lines("RH=30.9\\nT=67.9F RH=30.8\\n") == ("RH=30.9", "T=67.9F RH=30.8")
    assert raw_lines("\\x01\\x04\\x04\\x06\\xafA\\n") == ("01 04 04 06 af 41 0a",)
    assert raw_lines('{"t": 1}{"t": 2}') == ('{"t": 1}', '{"t": 2}')
    assert raw_lines("") == ()


def test_another_device_is_asked_about_and_confirmed_once() -> None:
    one = hand()
    found = answer("sources")
    found[0]["to_confirm"] = {"expected": "serial number 01", "found": "serial number 07"}
    one.client.holds["/api/sources"] = found
    one.touch("setup:sources", "source:bench-port")
    assert any("serial number 07" in line for line in lines(one))
    one.touch("confirm")
    tell = one.client.told[-1]
    assert tell.path == "/api/sources/bench-port/confirm"
    assert tell.body is not None
    assert UUID(tell.body["command_id"])


def test_the_record_says_how_it_stands_and_that_no_copy_goes_elsewhere() -> None:
    one = hand().touch("setup:record")
    health = answer("health")
    assert rows(one)["State"] == "is being written"
    assert rows(one)["Size"] == f"{health['store_bytes'] / 1e6:.1f} MB"
    assert "No other store is configured: the record is only here." in lines(one)


def test_a_remote_that_lags_says_by_how_much() -> None:
    one = hand()
    remote = {
        "remote": "office", "where": "office:8086", "state": "held", "since_ms": 0, "sent": 9, "behind_rows": 240,
        "behind_s": 7_300.0, "condemned": 0, "error": "no route", "left_s": None,
    }  # fmt: skip
    one.client.holds["/api/remotes"] = [remote]
    one.touch("setup:record")
    assert "office: waits for the other store" in lines(one)
    assert "lacks 240 rows, the oldest 2 h old" in lines(one)
    assert "no route" in lines(one)


def test_a_copy_is_made_by_one_touch_and_each_touch_is_another_command() -> None:
    one = hand().touch("setup:record", "copy")
    assert "Copied and checked: record-20270112T124300Z.sqlite, 59.7 MB" in lines(one)
    one.touch("copy")
    ids = [tell.body["command_id"] for tell in one.client.told if tell.body]
    assert len(set(ids)) == 2
    assert all(UUID(command) for command in ids)


def test_a_copy_that_was_refused_says_why_and_is_the_same_command_when_touched_again() -> None:
    one = hand().touch("setup:record")
    one.client.holds["/api/store/backup"] = Refused("no room on the disk")
    one.touch("copy", "copy")
    view = one.desk.view()
    assert view is not None
    assert "no room on the disk" in view.note
    first, second = (tell.body for tell in one.client.told)
    assert first == second


def test_what_is_not_watched_is_said_with_its_reason() -> None:
    one = hand().touch("setup:machine")
    assert "not watched, because no sensor was checked over a salt" in lines(one)
    assert rows(one)["Clock"] == "set"
    assert rows(one)["Faults"] == "0"


def test_zones_stand_with_their_aims_and_one_says_what_it_is_meant_for() -> None:
    one = hand().touch("setup:zones")
    (block,) = one.blocks(Questions)
    zones = document()["zones"]
    assert [(row.title, row.line) for row in block.rows] == [(z["name"], z["aim"]["text"]["text"]) for z in zones]
    one.touch("zone:bench-room")
    assert rows(one)["aim"] == "6–10 %"
    assert rows(one)["Meant for"] == answer("destinations")[0]["name"]


def test_a_zone_is_made_by_its_name_and_its_destination() -> None:
    one = hand().touch("setup:zones", "new", *(f"key:{sign}" for sign in "spray"), "next", "for:outer-walls")
    tell = one.client.told[-1]
    assert (tell.path, tell.method) == ("/api/zones", "POST")
    assert tell.body is not None
    assert UUID(tell.body["command_id"])
    zone = dict(tell.body["zone"])
    assert re.fullmatch(r"spray-[a-z0-9]{6}", zone.pop("id"))
    assert zone == {"name": "Spray", "destination": "outer-walls"}
    assert one.blocks(Questions)  # back at the list


def test_a_name_ends_where_the_wall_has_no_more_room_and_is_never_empty() -> None:
    one = hand().touch("setup:zones", "new")
    assert "next" not in one.names()
    one.touch("key:space")
    assert "next" not in one.names()
    one.touch(*["key:a"] * 30)
    (board,) = one.blocks(Keyboard)
    assert len(board.shown) == 24


def test_a_zone_gets_another_name_and_another_destination() -> None:
    one = hand().touch("setup:zones", "zone:rack-loft", "name", "key:l", "key:o", "next")
    tell = one.client.told[-1]
    assert (tell.path, tell.method) == ("/api/zones/rack-loft", "PUT")
    assert tell.body is not None
    assert tell.body["zone"] == {"name": "Lo"}
    one.touch("destination", "for:outer-walls")
    tell = one.client.told[-1]
    assert tell.body is not None
    assert tell.body["zone"] == {"destination": "outer-walls"}


def test_what_stands_in_the_file_stays_and_the_server_says_why() -> None:
    one = hand().touch("setup:zones", "zone:rack-loft", "destination")
    one.client.refuse("zone: found 'rack-loft'; would be right: a change in the configuration file")
    one.touch("for:outer-walls")
    view = one.desk.view()
    assert view is not None
    assert "a change in the configuration file" in view.note
