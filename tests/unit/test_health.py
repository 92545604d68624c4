"""The health document: what the server knows of itself, what was not believed, and why a rule watches nothing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from sensors.queue import HeardQueue
from server.app import Settings
from server.health import Vitals, health
from server.reading import SourceState
from server.watcher import Watcher
from server.words import WordsError
from tests.unit.spine import DAY, HOUR, MINUTE, START_MS, Bench, config, sample


@pytest.fixture
async def bench(tmp_path: Path):
    made = Bench(tmp_path / "state")
    yield made
    await made.close()


def vitals(bench: Bench, queue: HeardQueue | None = None) -> Vitals:
    """As the running app gathers them."""
    settings = Settings(bench.config, bench.folder, bench.clock, boot="boot-1")
    spine = bench.spine
    heard = HeardQueue() if queue is None else queue
    return Watcher(
        settings.clock, settings.restarted, spine.engine, spine.frame.sources, spine.rules, heard, None
    ).vitals()


def document(bench: Bench, queue: HeardQueue | None = None):
    return health(vitals(bench, queue), bench.spine.history, bench.folder / "record.sqlite")


async def test_the_figures_of_a_server_at_work(bench: Bench):
    await bench.hear([sample("bench-1", n * MINUTE) for n in range(3)])
    queue = HeardQueue()
    queue.put(sample("bench-1", 200))
    found = document(bench, queue)
    assert (found.version, found.now_ms, found.up_s) == (bench.document.version, START_MS + 120_000, 120.0)
    assert (found.turns, found.readings, found.queued, found.dropped) == (3, 6, 1, 0)
    assert (found.store, found.store_error, found.clock_set, found.broker) == ("writing", "", True, None)
    assert found.store_bytes == (bench.folder / "record.sqlite").stat().st_size
    assert found.log_bytes == (bench.folder / "record.sqlite-wal").stat().st_size > 0


async def test_a_full_disk_is_told_with_its_reason(bench: Bench):
    bench.spine.engine.counts.store_error = "record.sqlite: no room"
    found = document(bench)
    assert (found.store, found.store_error) == ("full", "record.sqlite: no room")


async def test_a_record_that_is_not_there_weighs_nothing(bench: Bench, tmp_path: Path):
    found = health(vitals(bench), bench.spine.history, tmp_path / "elsewhere.sqlite")
    assert (found.store_bytes, found.log_bytes) == (0, 0)


async def test_rejected_counts_a_sensors_last_day_by_reason_and_leaves_the_zones_out(bench: Bench):
    apart = [sample("bench-1", DAY + 9, 20.0, 40.0), sample("bench-2", DAY + 9, 20.0, 60.0)]
    await bench.hear([sample("bench-1", 1, 300.0), sample("bench-1", 2 * HOUR, 300.0), *apart])
    assert document(bench).rejected == {"bench-1/temperature_c": {"range": 1}}
    assert document(bench).rejected_since_start == {"bench-1/temperature_c": {"range": 2}}
    bench.clock.advance(3 * HOUR)
    assert document(bench).rejected == {}
    assert document(bench).rejected_since_start == {"bench-1/temperature_c": {"range": 2}}


ABOUT_LOTS = ("lot-checks", "lot-cup", "milled-open", "lots-unconfirmed", "wrap-sweating", "lot-good", "away")
ABOUT_PANELS = ("panel-cures", "panel-flat", "clearance-used")
OF_NO_ROOM_OR_WORK = {
    "remote-lagging": "not watched, because no remote is configured",
    "extractor-cold": "not watched, because no zone is said to be outdoors",
    "shelf-freezing": "not watched, because no zone or sensor is marked as a shelf",
    "iron-rusts": "not watched, because no zone is marked as having bare iron",
    "mould-grows": "not watched, because no zone was heard for most of a week",
    **dict.fromkeys(ABOUT_LOTS, "not watched, because no lot is in the shop, or none was worked out yet"),
    **dict.fromkeys(ABOUT_PANELS, "not watched, because no panel is in the shop"),
}


async def test_the_reasons_why_a_rule_watches_nothing_are_sentences(bench: Bench):
    await bench.spine.engine.turn(())
    found = document(bench).not_watched
    assert {rule: reason.key for rule, reason in found.items()} == {
        "dry-limit": "not-watched-no-air",
        "damp-limit": "not-watched-no-air",
        "falling-fast": "not-watched-no-air",
        "outlook-dry": "not-watched-no-air",
        "outlook-damp": "not-watched-no-air",
        "sensors-apart": "not-watched-no-air",
        "sensors-parting": "not-watched-no-pair",
        "check-due": "not-watched-no-check",
        "source-lost": "not-watched-no-source",
        "remote-lagging": "not-watched-no-remote",
        "extractor-cold": "not-watched-no-outdoors",
        "shelf-freezing": "not-watched-no-shelf",
        "iron-rusts": "not-watched-no-iron",
        "mould-grows": "not-watched-no-week",
        **dict.fromkeys(ABOUT_LOTS, "not-watched-no-lot"),
        **dict.fromkeys(ABOUT_PANELS, "not-watched-no-panel"),
    }
    assert found["dry-limit"].text == "not watched, because no zone has air to speak of"
    assert found["dry-limit"].values == {}
    await bench.hear([sample("bench-1", n * MINUTE) for n in range(0, 40, 10)])
    never = {
        "sensors-parting": "not watched, because no two sensors of a zone were heard for two weeks",
        "check-due": "not watched, because no sensor was checked over a salt",
        "source-lost": "not watched, because there is no wire yet",
        **OF_NO_ROOM_OR_WORK,
    }
    assert {r: reason.text for r, reason in document(bench).not_watched.items()} == {
        "falling-fast": "not watched, because the record is shorter than five hours",
        "outlook-dry": "not watched, because no zone has an outlook yet",
        "outlook-damp": "not watched, because no zone has an outlook yet",
        **never,
    }
    await bench.hear([sample("bench-1", n * 10 * MINUTE, 20.0 + n / 1000) for n in range(4, 40)])
    assert document(bench).not_watched.keys() == {*never, "outlook-dry", "outlook-damp"}


async def test_without_a_zone_or_a_sensor_every_rule_says_so(tmp_path: Path):
    empty = Bench(tmp_path / "empty", replace(config(), zones=(), sensors=()))
    texts = {rule: reason.text for rule, reason in document(empty).not_watched.items()}
    assert texts == dict.fromkeys(
        ("dry-limit", "damp-limit", "falling-fast", "outlook-dry", "outlook-damp", "sensors-apart"),
        "not watched, because no zone is named yet",
    ) | dict.fromkeys(("sensor-silent", "sensor-stuck"), "not watched, because there is no sensor yet") | {
        "sensors-parting": "not watched, because no two sensors of a zone were heard for two weeks",
        "check-due": "not watched, because no sensor was checked over a salt",
        "source-lost": "not watched, because there is no wire yet",
        **OF_NO_ROOM_OR_WORK,
    }
    await empty.close()


async def test_a_language_without_a_file_is_refused(bench: Bench):
    with pytest.raises(WordsError, match="language: found 'xx'"):
        health(vitals(bench), bench.spine.history, bench.folder / "record.sqlite", "xx")


class Wire:
    def state(self) -> object:
        return SourceState("mq", "mqtt", "127.0.0.1:1883", "listening", START_MS, None, 9, 0, 2, 0, "", "")


async def test_what_a_full_queue_gave_up_counts_with_its_source_and_in_all(bench: Bench):
    queue = HeardQueue(limit=1)
    bench.spine.frame.watch({"mq": Wire()}, queue.dropped)
    for n in range(4):
        queue.put(sample("bench-1", n))
    (source,) = bench.spine.frame.sources()
    assert source.dropped == 2 + 3, "those the wire gave up, and those behind it"
    found = document(bench, queue)
    assert (found.dropped, found.queued, found.sources) == (5, 1, {"mq": "listening"})


async def test_a_fault_of_ours_is_told_with_how_often(bench: Bench):
    assert document(bench).faults == []
    for _ in range(2):
        with bench.spine.engine.faults.noted("outlooks", bench.clock, "loft"):
            raise ValueError("a bug")
    (found,) = document(bench).faults
    assert (found.part, found.about, found.times, found.what) == ("outlooks", "loft", 2, "ValueError: a bug")
    assert found.first_ms == found.last_ms == START_MS
