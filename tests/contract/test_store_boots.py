"""What every store does with stretches of time: noted as they begin, and moved whole once the clock is set."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from server.clock import ManualClock
from server.reading import Flag, JournalEntry, Reading, Refused
from server.stores.catalog import STORES, open_store
from server.stores.port import Boot, Rollup
from server.stores.remote import Place
from tests.contract.test_store import ALWAYS, HOUR, T0, Pair, alert, reading, record

__all__ = ["record"]

DAY = 24 * HOUR
UNSET = Flag.CLOCK_UNSET
SERIES = "t1/temperature_c"


def set_entry(from_ms: int, to_ms: int) -> JournalEntry:
    return JournalEntry("set-1", to_ms, "clock-set", "clock", {"from_ms": from_ms, "to_ms": to_ms})


async def test_a_stretch_is_noted_and_one_that_goes_on_is_the_same(record: Pair) -> None:
    store, history = record
    assert history.boot() is None
    first = await store.begin_boot("boot-a", T0 - 5000, T0, clock_set=False)
    assert first == Boot(first.id, "boot-a", T0 - 5000, False, T0)
    assert await store.begin_boot("boot-a", T0 - 5000, T0, clock_set=False) == first
    second = await store.begin_boot("boot-b", T0 - 5000, T0, clock_set=False)
    assert second.id > first.id
    assert history.boot() == second
    third = await store.begin_boot("boot-b", T0, T0, clock_set=True)
    assert await store.begin_boot("boot-b", T0, T0, clock_set=True) != third, "a set one ends with its start"


async def test_the_newest_label_is_of_whatever_was_dated_last(record: Pair) -> None:
    store, history = record
    assert history.newest_label_ms() is None
    await store.append([reading(20.0)])
    assert history.newest_label_ms() == T0
    await store.append([], [Refused("s", T0 + 1, "a", b"x", "no")])
    assert history.newest_label_ms() == T0 + 1
    await store.add_journal([JournalEntry("j", T0 + 2, "placed", "t1", {})])
    assert history.newest_label_ms() == T0 + 2
    await store.put_alerts([alert(changed_ms=T0 + 3)])
    assert history.newest_label_ms() == T0 + 3
    assert history.newest_ms() == T0, "of readings"


async def test_all_that_is_the_stretchs_own_moves_and_nothing_else(record: Pair) -> None:
    store, history = record
    await store.append([reading(19.0, -60, flags=UNSET), reading(19.5, -10)], [Refused("s", T0 - 1, "a", b"x", "no")])
    await store.add_journal([JournalEntry("old", T0 - 1, "placed", "t1", {"until_ms": T0 - 5})])
    await store.put_alerts([alert(changed_ms=T0 - 1, alert_id="old")])
    boot = await store.begin_boot("boot-b", T0 - 9000, T0, clock_set=False)
    await store.append([reading(20.0, 0, flags=UNSET), reading(20.5, 1, flags=UNSET), reading(21.0, 2)])
    await store.append([], [Refused("s", T0 + 500, "a", b"y", "no")])
    await store.add_journal([JournalEntry("new", T0 + 600, "shelved", "t1", {"hours": 2, "until_ms": T0 + 7000})])
    new = replace(
        alert("shelved", T0 + 700, "new"),
        raised_ms=T0 + 650,
        shelved_until_ms=T0 + 7000,
        values={"heard_ms": T0 + 640, "seen_ms": T0 - 640, "took_ms": 12, "text": "12_ms", "limit_pct": 6.5},
    )
    await store.put_alerts([new])
    moved = await store.set_clock(boot.id, boot.wall_minus_mono_ms + DAY, set_entry(T0 + 9000, T0 + 9000 + DAY))
    assert moved == DAY
    mark = Flag.RELABELLED
    assert history.readings(SERIES, *ALWAYS) == [
        reading(19.0, -60, flags=UNSET),
        reading(19.5, -10),
        reading(21.0, 2),
        reading(20.0, 24 * 60, flags=mark),
        reading(20.5, 24 * 60 + 1, flags=mark),
    ]
    entries = {entry.id: entry for entry in history.journal()}
    assert (entries["old"].t_ms, entries["old"].data) == (T0 - 1, {"until_ms": T0 - 5})
    assert (entries["new"].t_ms, entries["new"].data) == (T0 + 600 + DAY, {"hours": 2, "until_ms": T0 + 7000 + DAY})
    assert entries["set-1"] == set_entry(T0 + 9000, T0 + 9000 + DAY)
    later = replace(
        new,
        raised_ms=T0 + 650 + DAY,
        changed_ms=T0 + 700 + DAY,
        shelved_until_ms=T0 + 7000 + DAY,
        values={**new.values, "heard_ms": T0 + 640 + DAY},
    )
    assert {a.id: a for a in history.alerts()} == {"old": alert(changed_ms=T0 - 1, alert_id="old"), "new": later}
    assert [(a.id, a.changed_ms) for a in history.alert_changes(*ALWAYS)] == [("old", T0 - 1), ("new", T0 + 700 + DAY)]
    assert history.boot() == replace(boot, clock_set=True, wall_minus_mono_ms=T0 - 9000 + DAY, moved_by_ms=DAY)
    hours = [(r.start_ms, r.count) for r in history.rollups(SERIES, "hour", *ALWAYS)]
    assert hours == [(T0 - HOUR, 2), (T0, 1), (T0 + DAY, 2)]
    assert [(r.count, r.mean) for r in history.rollups(SERIES, "day", *ALWAYS)] == [(3, (38.5 + 21) / 3), (2, 20.25)]


async def test_a_clock_that_is_set_twice_moves_once(record: Pair) -> None:
    store, history = record
    boot = await store.begin_boot("boot-a", 0, T0, clock_set=False)
    await store.append([reading(20.0, flags=UNSET)])
    assert await store.set_clock(boot.id, HOUR, set_entry(T0, T0 + HOUR)) == HOUR
    assert await store.set_clock(boot.id, 3 * HOUR, set_entry(T0, T0 + 3 * HOUR)) == 0
    assert [r.t_ms for r in history.readings(SERIES, *ALWAYS)] == [T0 + HOUR]
    assert len(history.journal()) == 1


async def test_a_place_that_is_taken_is_replaced_and_what_stood_there_kept(record: Pair) -> None:
    store, history = record
    boot = await store.begin_boot("boot-a", 0, T0, clock_set=False)
    await store.append([reading(20.0, n, flags=UNSET) for n in range(3)])
    await store.append([reading(25.0, 60), reading(20.0, 61)])
    await store.set_clock(boot.id, HOUR, set_entry(T0, T0 + HOUR))
    found = [(r.t_ms, r.value, r.flags) for r in history.readings(SERIES, *ALWAYS)]
    mark = Flag.RELABELLED
    assert found == [
        (T0 + HOUR, 20.0, mark),
        (T0 + HOUR + 60_000, 20.0, Flag.NONE),  # the same value: nothing happens
        (T0 + HOUR + 120_000, 20.0, mark),
    ]
    with closing(sqlite3.connect(store.path)) as file:  # type: ignore[attr-defined]
        assert file.execute("SELECT t_ms, value, flags FROM replaced").fetchall() == [(T0 + HOUR, 25.0, 0)]
    assert [(r.start_ms, r.count) for r in history.rollups(SERIES, "hour", *ALWAYS)] == [(T0 + HOUR, 3)]


async def test_what_comes_after_the_move_is_taken_as_ever(record: Pair) -> None:
    store, history = record
    boot = await store.begin_boot("boot-a", 0, T0, clock_set=False)
    await store.append([reading(20.0, n, flags=UNSET) for n in range(3)])
    await store.set_clock(boot.id, -HOUR, set_entry(T0, T0 - HOUR))
    await store.append([reading(21.0, -57), reading(22.0, -58), reading(22.5, -59)])
    found = history.readings(SERIES, *ALWAYS)
    assert [(r.t_ms - T0) // 60_000 for r in found] == [-60, -59, -58, -57]
    assert [r.value for r in found] == [20.0, 22.5, 22.0, 21.0]


rows = st.lists(
    st.tuples(st.integers(-300, 300), st.sampled_from([20.0, 21.0, 22.0]), st.booleans()),
    min_size=1,
    max_size=40,
    unique_by=lambda row: row[0],
)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=rows, minutes=st.integers(-400, 400))
async def test_any_move_leaves_each_reading_once_and_its_hours_right(tmp_path_factory, rows, minutes: int) -> None:
    """Independent: the same rule over a plain dictionary, and rollups summed up here."""
    for kind in sorted(STORES):
        folder = tmp_path_factory.mktemp("moved")
        store, history = open_store(folder, "America/New_York", ManualClock(T0), kind)
        try:
            boot = await store.begin_boot("boot-a", 0, T0, clock_set=False)
            expected: dict[int, tuple[float, Flag]] = {}
            for minute, value, is_unset in rows:
                await store.append([reading(value, minute, flags=UNSET if is_unset else Flag.NONE)])
                expected[minute] = value, UNSET if is_unset else Flag.NONE
            own = {m: v for m, (v, flags) in expected.items() if m >= 0 and flags}
            left = {m: row for m, row in expected.items() if m not in own}
            for minute, value in own.items():
                if left.get(minute + minutes, (None,))[0] != value:
                    left[minute + minutes] = value, Flag.RELABELLED
            by_ms = minutes * 60_000
            await store.set_clock(boot.id, by_ms, set_entry(T0, T0 + by_ms))
            found = history.readings(SERIES, *ALWAYS)
            assert found == [reading(value, minute, flags=flags) for minute, (value, flags) in sorted(left.items())]
            hours = [replace(r, mean=round(r.mean, 9)) for r in history.rollups(SERIES, "hour", *ALWAYS)]
            assert hours == _hours(found)
        finally:
            await store.close()


def _hours(readings: list[Reading]) -> list[Rollup]:
    by_hour: dict[int, list[float]] = {}
    for r in readings:
        by_hour.setdefault(r.t_ms - r.t_ms % HOUR, []).append(r.value)
    return [
        Rollup(SERIES, hour, min(v), round(sum(v) / len(v), 9), max(v), len(v)) for hour, v in sorted(by_hour.items())
    ]


async def test_a_remote_gets_them_once_and_at_their_right_time(record: Pair) -> None:
    store, _ = record
    outbox = store.outbox
    await outbox.know({"there": Place("db", lambda _: True)})

    async def sent() -> list[tuple[int, float]]:
        batch = outbox.batch("there", 100)
        await outbox.moved("there", batch, [], T0)
        return [((p.t_ms - T0) // 60_000, p.value) for p in batch.points]

    await store.begin_boot("boot-a", 0, T0 - DAY, clock_set=True)
    await store.append([reading(19.0, -10)])
    boot = await store.begin_boot("boot-b", 0, T0, clock_set=False)
    await store.append([reading(20.0 + n, n, flags=UNSET) for n in range(3)])
    await store.append([reading(30.0, 600)])  # a device's own time, ahead of what will be moved
    assert await sent() == [(-10, 19.0)]
    assert await sent() == []
    await store.set_clock(boot.id, HOUR, set_entry(T0, T0 + HOUR))
    assert sorted(await sent()) == [(60, 20.0), (61, 21.0), (62, 22.0), (600, 30.0)]
    assert await sent() == []
    behind = await store.begin_boot("boot-c", 0, T0 + 11 * HOUR, clock_set=False)
    await store.append([reading(40.0, 660, flags=UNSET)])
    await store.set_clock(behind.id, -9 * HOUR, JournalEntry("set-2", T0, "clock-set", "clock", {}))
    assert await sent() == [(120, 40.0)], "behind the cursor, yet not passed by"
