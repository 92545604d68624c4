"""Pruned hours are closed: nothing that comes later changes them, and what came is kept with the reason."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from server.clock import ManualClock
from server.reading import Flag, JournalEntry, Reading, Refused
from server.stores.catalog import open_store
from server.stores.remote import Place
from server.stores.rollups import HOUR_MS
from server.stores.sqlite_file import FILE_NAME
from server.stores.verify import looks

T0 = 1_799_755_200_000
ALL = (0, 1 << 50)
NAME = "t1/temperature_c"


def rows(count: int, step_ms: int = 60_000, name: str = NAME) -> list[Reading]:
    return [Reading(name, T0 + n * step_ms, float(n % 17)) for n in range(count)]


async def test_in_small_steps_never_part_of_an_hour_and_once_is_enough(tmp_path: Path) -> None:
    store, history = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    await store.append(rows(600))
    await store.append(rows(600, name="t2/temperature_c"))
    hours = history.rollups(NAME, "hour", *ALL)
    before_ms = T0 + 5 * HOUR_MS + 1234  # within the sixth hour, which stays whole
    gone = []
    while count := await store.prune(NAME, before_ms, 100):
        gone.append(count)
        first = history.readings(NAME, *ALL)[0].t_ms
        assert first % HOUR_MS == 0
        assert history.rollups(NAME, "hour", *ALL) == hours
    assert (sum(gone), max(gone)) == (300, 60)
    assert await store.prune(NAME, before_ms, 100) == 0
    assert await store.prune("t9/temperature_c", before_ms, 100) == 0
    assert len(history.readings("t2/temperature_c", *ALL)) == 600
    await store.close()
    assert all(look.right for look in looks(tmp_path / FILE_NAME))


@pytest.mark.parametrize("reopened", [False, True])
async def test_a_late_reading_and_a_correction_of_a_closed_hour_are_kept_as_refused(
    tmp_path: Path, reopened: bool
) -> None:
    store, history = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    await store.append(rows(300))
    assert await store.prune(NAME, T0 + 3 * HOUR_MS, 1000) == 180
    if reopened:
        await store.close()
        store, history = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    hours, days = history.rollups(NAME, "hour", *ALL), history.rollups(NAME, "day", *ALL)
    late = [Reading(NAME, T0 + 30_000, 99.0), Reading(NAME, T0 + 60_000, 98.0)]
    for _ in range(2):
        await store.append([*late, *rows(300)[-3:]])
    assert history.rollups(NAME, "hour", *ALL) == hours
    assert history.rollups(NAME, "day", *ALL) == days
    assert len(history.readings(NAME, *ALL)) == 120
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as connection:
        refused = connection.execute("SELECT source, place, payload, reason FROM refused").fetchall()
    assert len(refused) == 4
    assert refused[0] == (
        "t1", NAME, f"[{T0 + 30_000}, 99.0, 0, null]".encode(),
        f"raw readings of {NAME} are kept from {T0 + 3 * HOUR_MS} ms on; its hours before that are closed",
    )  # fmt: skip
    await store.close()
    assert all(look.right for look in looks(tmp_path / FILE_NAME))


async def test_a_series_that_was_pruned_away_takes_new_readings(tmp_path: Path) -> None:
    store, history = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    await store.append(rows(120))
    assert await store.prune(NAME, T0 + 5 * HOUR_MS, 1000) == 120
    await store.close()
    store, history = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    await store.append([Reading(NAME, T0 + HOUR_MS, 5.0), Reading(NAME, T0 + 6 * HOUR_MS, 6.0)])
    assert [r.value for r in history.readings(NAME, *ALL)] == [6.0]
    assert [h.count for h in history.rollups(NAME, "hour", *ALL)] == [60, 60, 1]
    await store.close()


async def test_what_a_remote_has_not_got_yet_stays(tmp_path: Path) -> None:
    """Nothing is deleted because a remote is away."""
    store, history = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    await store.append(rows(600))
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as connection, connection:
        connection.execute("INSERT INTO remote_series VALUES ('far', 1, ?)", (T0 + 2 * HOUR_MS,))
    assert await store.prune(NAME, T0 + 8 * HOUR_MS, 10_000) == 120
    assert history.readings(NAME, *ALL)[0].t_ms == T0 + 2 * HOUR_MS
    await store.close()


async def test_closed_are_the_hours_of_what_went_and_not_the_empty_ones_after_them(tmp_path: Path) -> None:
    """A prune by a clock two years ahead must not refuse what is heard once it is right again."""
    store, history = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    await store.append(rows(120))
    assert await store.prune(NAME, T0 + 17_520 * HOUR_MS, 1000) == 120
    await store.append([Reading(NAME, T0 + 2 * HOUR_MS + n, 5.0) for n in range(10)])
    assert len(history.readings(NAME, *ALL)) == 10
    await store.close()


async def test_a_long_backlog_for_closed_hours_is_kept_whole_and_leaves_room_for_noise(tmp_path: Path) -> None:
    """It was understood and is acknowledged: nobody has it any more."""
    store, _ = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    await store.append(rows(120))
    assert await store.prune(NAME, T0 + HOUR_MS, 1000) == 60
    await store.append([Reading(NAME, T0 + n * 1000, 3.0) for n in range(3000)])
    await store.close()
    store, _ = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    await store.append([], [Refused("t1", T0 + 5, "/dev/x", b"?", "noise")])
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as connection:
        assert connection.execute("SELECT count(*) FROM refused").fetchone() == (3001,)
    await store.close()


async def test_a_clock_set_back_into_pruned_hours_leaves_them_as_they_were(tmp_path: Path) -> None:
    """Field pitfall 3: what is relabelled into a closed hour is kept as refused, and the hour is not made again."""
    store, history = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    await store.append(rows(300))
    assert await store.prune(NAME, T0 + 2 * HOUR_MS, 1000) == 120
    hours = history.rollups(NAME, "hour", *ALL)
    boot = await store.begin_boot("b", 0, T0 + 5 * HOUR_MS, clock_set=False)
    await store.append([Reading(NAME, T0 + 5 * HOUR_MS + n * HOUR_MS, 99.0, Flag.CLOCK_UNSET) for n in (0, 3)])
    await store.set_clock(boot.id, -4 * HOUR_MS, JournalEntry("j", T0, "clock-set", "clock", {}))
    after = history.rollups(NAME, "hour", *ALL)
    assert [h for h in after if h.start_ms < T0 + 4 * HOUR_MS] == hours[:4]
    assert [(h.start_ms, h.count) for h in after[4:]] == [(T0 + 4 * HOUR_MS, 60)]
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as connection:
        told = connection.execute("SELECT source, t_ms, place FROM refused").fetchall()
        moved = connection.execute("SELECT value FROM reading WHERE t_ms = ?", (T0 + 4 * HOUR_MS,)).fetchall()
    assert told == [("t1", T0 + HOUR_MS, NAME)]
    assert moved == [(99.0,)]
    await store.close()
    assert all(look.right for look in looks(tmp_path / FILE_NAME))


async def test_what_came_late_stays_until_every_remote_has_it(tmp_path: Path) -> None:
    """Years that are brought in from a file lie before the cursor of a remote, and are owed all the same."""
    store, _ = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    await store.outbox.know({"far": Place("there", lambda _: True)})
    await store.append([Reading(NAME, T0 + 99 * HOUR_MS, 1.0)])
    await store.outbox.moved("far", store.outbox.batch("far", 10), [], T0)
    await store.append(rows(120))
    assert await store.prune(NAME, T0 + 50 * HOUR_MS, 1000) == 0
    batch = store.outbox.batch("far", 1000)
    assert len(batch.points) == 120
    await store.outbox.moved("far", batch, [], T0)
    assert await store.prune(NAME, T0 + 50 * HOUR_MS, 1000) == 120
    await store.close()


async def test_a_series_born_after_a_remote_is_known_stays_until_that_has_it(tmp_path: Path) -> None:
    store, _ = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    await store.outbox.know({"far": Place("there", lambda name: name == NAME)})
    await store.append(rows(120))
    await store.append(rows(120, name="t2/temperature_c"))
    assert await store.prune(NAME, T0 + 50 * HOUR_MS, 1000) == 0
    assert await store.prune("t2/temperature_c", T0 + 50 * HOUR_MS, 1000) == 120, "no remote wants it"
    await store.outbox.moved("far", store.outbox.batch("far", 1000), [], T0)
    assert await store.prune(NAME, T0 + 50 * HOUR_MS, 1000) == 60, "up to the hour of what it has"
    await store.close()


async def test_a_remote_whose_place_among_the_late_was_lost_begins_anew(tmp_path: Path) -> None:
    """A salvage may keep the cursors and lose that row; the cursors alone would pass the late ones by for ever."""
    store, _ = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    place = {"far": Place("there", lambda _: True)}
    await store.outbox.know(place)
    await store.append(rows(100))
    await store.outbox.moved("far", store.outbox.batch("far", 1000), [], T0)
    await store.append([Reading(NAME, T0 + n, 1.0) for n in range(1, 6)])
    await store.close()
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as connection, connection:
        connection.execute("DELETE FROM remote_late")
    store, _ = open_store(tmp_path, "Europe/Oslo", ManualClock(T0))
    await store.outbox.know(place)
    assert len(store.outbox.batch("far", 1000).points) == 105
    await store.close()


@settings(max_examples=25, deadline=None)
@given(
    step_s=st.sampled_from([1, 7, 60, 600]), count=st.integers(1, 400), most=st.integers(1, 300),
    before=st.integers(-3_600_000, 90_000_000),
)  # fmt: skip
async def test_any_prune_leaves_rollups_as_they_were_and_a_record_that_is_right(
    tmp_path_factory: pytest.TempPathFactory, step_s: int, count: int, most: int, before: int
) -> None:
    folder = tmp_path_factory.mktemp("prune")
    store, history = open_store(folder, "Asia/Kolkata", ManualClock(T0))
    await store.append(rows(count, step_s * 1000))
    both = history.rollups(NAME, "hour", *ALL), history.rollups(NAME, "day", *ALL)
    while await store.prune(NAME, T0 + before, most):
        pass
    assert (history.rollups(NAME, "hour", *ALL), history.rollups(NAME, "day", *ALL)) == both
    limit = (T0 + before) // HOUR_MS * HOUR_MS
    assert history.readings(NAME, *ALL) == [r for r in rows(count, step_s * 1000) if r.t_ms >= limit]
    await store.close()
    assert all(look.right for look in looks(folder / FILE_NAME))
