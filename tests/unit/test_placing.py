"""Where a sensor stands is written down once, and again when it moves."""

from __future__ import annotations

from pathlib import Path

import pytest

from server.clock import ManualClock
from server.config import Sensor
from server.placing import placed_entries
from server.reading import JournalEntry
from server.stores.catalog import open_store

T0 = 1_799_755_200_000


def sensor(name: str, zone: str) -> Sensor:
    return Sensor(id=name, source="mq", device=name, zone=zone)


def test_every_sensor_the_first_time():
    assert placed_entries([sensor("a", "bench"), sensor("b", "loft")], [], T0) == [
        JournalEntry(f"placed:a:bench:{T0}", T0, "placed", "a", {"zone": "bench", **sensor("a", "bench").identity}),
        JournalEntry(f"placed:b:loft:{T0}", T0, "placed", "b", {"zone": "loft", **sensor("b", "loft").identity}),
    ]


def test_nothing_while_it_stays_and_again_when_it_moves_and_comes_back():
    so_far: list[JournalEntry] = []
    for number, (zone, moved) in enumerate([("bench", 1), ("bench", 0), ("loft", 1), ("loft", 0), ("bench", 1)]):
        new = placed_entries([sensor("a", zone)], so_far, T0 + number)
        assert len(new) == moved
        so_far = [*new, *so_far]  # in any order
    assert [e.data["zone"] for e in sorted(so_far, key=lambda e: e.t_ms)] == ["bench", "loft", "bench"]


def test_a_sensor_that_is_gone_is_left_as_it_was_written():
    so_far = placed_entries([sensor("a", "bench")], [], T0)
    assert placed_entries([], so_far, T0 + 1) == []


@pytest.mark.parametrize("change", [{"device": "b"}, {"type": "sht4x"}, {"offset_c": -1.0}, {"source": "line"}])
def test_another_chip_or_another_offset_is_written_down(change: dict[str, object]):
    so_far = placed_entries([sensor("a", "bench")], [], T0)
    (new,) = placed_entries([sensor("a", "bench").model_copy(update=change)], so_far, T0 + 1)
    assert change.items() <= new.data.items()


async def test_written_twice_is_written_once(tmp_path: Path):
    store, history = open_store(tmp_path, "UTC", ManualClock(T0))
    entries = placed_entries([sensor("a", "bench")], [], T0)
    assert [await store.add_journal(entries), await store.add_journal(entries)] == [1, 0]
    assert placed_entries([sensor("a", "bench")], history.journal("placed"), T0 + 5) == []
    await store.close()
