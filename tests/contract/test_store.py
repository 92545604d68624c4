"""What every store and history must do, whichever it is. A new kind in the catalog is tested here by being there."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import AsyncIterator
from pathlib import Path

import numpy as np
import pytest

from server.clock import ManualClock
from server.reading import Alert, Checkpoint, Flag, JournalEntry, Made, Reading, Refused
from server.stores.catalog import STORES, open_store
from server.stores.port import History, Rollup, Store, StoreBusy, StoreError

T0 = 1_799_755_200_000  # 2027-01-12 12:00 UTC, 07:00 in New York
HOUR = 3_600_000
ALWAYS = (0, 1 << 50)
Pair = tuple[Store, History]


@pytest.fixture(params=sorted(STORES))
async def record(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Pair]:
    store, history = open_store(tmp_path / "state", "America/New_York", ManualClock(T0), request.param)
    yield store, history
    await store.close()


def reading(value: float, minutes: float = 0, series: str = "t1/temperature_c", flags: Flag = Flag.NONE) -> Reading:
    return Reading(series, T0 + round(minutes * 60_000), value, flags)


def alert(state: str = "unacknowledged", changed_ms: int = T0, alert_id: str = "a1") -> Alert:
    values: dict[str, float | int | str] = {"limit_pct": 6.0, "minutes": 30, "zone": "Bänkraum"}
    return Alert(alert_id, "dry-limit", "bench-room", state, "look", "dry", T0, changed_ms, None, values)  # type: ignore[arg-type]


def test_an_empty_record_answers(record: Pair) -> None:
    _, history = record
    assert history.readings("t1/temperature_c", *ALWAYS) == []
    assert history.columns("t1/temperature_c", *ALWAYS) == ([], [])
    assert history.rollups("t1/temperature_c", "day", *ALWAYS) == []
    assert history.extent("t1/temperature_c", *ALWAYS) == (0, 0)
    assert history.latest("t1/temperature_c") is None
    assert history.newest_ms() is None
    assert history.rejections(*ALWAYS) == {}
    assert history.journal() == []
    assert history.alerts() == []
    assert history.alert_changes(*ALWAYS) == []
    assert history.command("c1") is None
    assert history.made() == []


async def test_what_goes_in_comes_out(record: Pair) -> None:
    store, history = record
    kept = [reading(20.1), Reading("t1/temperature_c", T0 + 1, 100.0, Flag.SATURATED, 103.5), reading(-3.25, 1)]
    await store.append(kept)
    assert history.readings("t1/temperature_c", *ALWAYS) == kept
    assert history.columns("t1/temperature_c", *ALWAYS) == ([T0, T0 + 1, T0 + 60_000], [20.1, 100.0, -3.25])
    assert history.latest("t1/temperature_c") == kept[-1]
    assert history.newest_ms() == T0 + 60_000


async def test_raw_equal_to_the_value_is_not_kept_twice(record: Pair) -> None:
    store, history = record
    await store.append([Reading("t1/temperature_c", T0, 20.0, Flag.NONE, 20.0)])
    assert history.latest("t1/temperature_c") == Reading("t1/temperature_c", T0, 20.0)


async def test_a_range_takes_its_start_and_leaves_its_end(record: Pair) -> None:
    store, history = record
    await store.append([reading(m, m) for m in range(5)])
    found = history.columns("t1/temperature_c", T0 + 60_000, T0 + 180_000)
    assert found == ([T0 + 60_000, T0 + 120_000], [1.0, 2.0])
    times, values = history.arrays("t1/temperature_c", T0 + 60_000, T0 + 180_000)
    assert (times.tolist(), values.tolist()) == found
    assert times.dtype == np.int64
    assert [a.size for a in history.arrays("nothing", *ALWAYS)] == [0, 0]


async def test_the_extent_of_a_range_is_known_without_reading_it(record: Pair) -> None:
    store, history = record
    await store.append([reading(m, m) for m in (0, 1, 61, 200)] + [reading(99, 62, flags=Flag.RANGE)])
    assert history.extent("t1/temperature_c", *ALWAYS) == (3, 4)
    assert history.extent("t1/temperature_c", T0 + HOUR, T0 + 2 * HOUR) == (1, 1)


async def test_flagged_readings_are_kept_but_move_nothing(record: Pair) -> None:
    store, history = record
    rate, both = Flag.RATE, Flag.RANGE | Flag.RATE
    await store.append([reading(20), reading(60, 1, flags=rate), reading(99, 2, flags=both), reading(21, 3)])
    assert [r.value for r in history.readings("t1/temperature_c", *ALWAYS)] == [20, 21]
    everything = history.readings("t1/temperature_c", *ALWAYS, good_only=False)
    assert [r.flags for r in everything] == [Flag.NONE, rate, both, Flag.NONE]
    assert history.rejections(*ALWAYS) == {"t1/temperature_c": {Flag.RATE: 2, Flag.RANGE: 1}}
    assert history.rejections(T0, T0 + 120_000) == {"t1/temperature_c": {Flag.RATE: 1}}
    assert history.rollups("t1/temperature_c", "hour", *ALWAYS) == [Rollup("t1/temperature_c", T0, 20, 20.5, 21, 2)]


async def test_flags_that_only_inform_keep_a_reading_good(record: Pair) -> None:
    store, history = record
    await store.append([reading(100, flags=Flag.SATURATED | Flag.CLOCK_UNSET | Flag.WITNESSES_APART)])
    assert len(history.readings("t1/temperature_c", *ALWAYS)) == 1
    assert history.rejections(*ALWAYS) == {}
    assert history.rollups("t1/temperature_c", "day", *ALWAYS)[0].count == 1


async def test_the_same_value_again_changes_nothing(record: Pair) -> None:
    store, history = record
    await store.append([reading(20)])
    await store.append([reading(20, flags=Flag.DUPLICATE)])
    assert history.readings("t1/temperature_c", *ALWAYS) == [reading(20)]


async def test_another_value_replaces_and_the_rollups_follow(record: Pair) -> None:
    store, history = record
    await store.append([reading(20), reading(22, 1)])
    await store.append([reading(30)])
    assert history.columns("t1/temperature_c", *ALWAYS)[1] == [30, 22]
    assert history.rollups("t1/temperature_c", "hour", *ALWAYS) == [Rollup("t1/temperature_c", T0, 22, 26, 30, 2)]
    await store.append([reading(31, flags=Flag.RANGE), reading(32, 1, flags=Flag.RANGE)])
    assert history.rollups("t1/temperature_c", "hour", *ALWAYS) == []
    assert history.rollups("t1/temperature_c", "day", *ALWAYS) == []


async def test_twice_the_same_moment_within_one_call(record: Pair) -> None:
    store, history = record
    await store.append([reading(20), reading(21), reading(21), reading(19, -1)])
    assert history.columns("t1/temperature_c", *ALWAYS) == ([T0 - 60_000, T0], [19, 21])


async def test_a_reading_half_an_hour_late_reaches_its_hour(record: Pair) -> None:
    store, history = record
    await store.append([reading(20, 0), reading(22, 50), reading(24, 70)])
    await store.append([reading(18, 40)])
    hours = history.rollups("t1/temperature_c", "hour", *ALWAYS)
    assert hours == [
        Rollup("t1/temperature_c", T0, 18, 20, 22, 3),
        Rollup("t1/temperature_c", T0 + HOUR, 24, 24, 24, 1),
    ]
    assert history.rollups("t1/temperature_c", "day", *ALWAYS) == [
        Rollup("t1/temperature_c", T0 - 7 * HOUR, 18, 21, 24, 4)  # from midnight in New York
    ]


async def test_series_do_not_mix(record: Pair) -> None:
    store, history = record
    await store.append(
        [reading(20), reading(40, series="t1/humidity_pct"), reading(21, series="zone:loft/temperature_c")]
    )
    assert history.columns("t1/humidity_pct", *ALWAYS)[1] == [40]
    assert history.columns("zone:loft/temperature_c", *ALWAYS)[1] == [21]
    assert history.columns("t2/humidity_pct", *ALWAYS)[1] == []


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        (Reading("t1/temperature_c", T0, float("nan")), "t1/temperature_c: found value nan"),
        (Reading("t1/temperature_c", T0, 1.0, Flag.NONE, float("inf")), "raw inf"),
        (Reading("t1/temperature_c", -1, 1.0), "found t_ms -1"),
        (Reading("t1/temperature_c", 1.5, 1.0), "found t_ms 1.5"),  # type: ignore[arg-type]
        (Reading("temperature_c", T0, 1.0), "would be right: owner/quantity"),
        (Reading("t\n1/temperature_c", T0, 1.0), "printable"),
        (Reading("t\ud800/temperature_c", T0, 1.0), "printable"),
    ],
)
async def test_a_reading_that_cannot_be_kept_is_named_and_nothing_written(
    record: Pair, bad: Reading, said: str
) -> None:
    store, history = record
    with pytest.raises(ValueError, match=said):
        await store.append([reading(20), bad])
    assert history.newest_ms() is None
    await store.append([reading(20)])
    assert history.newest_ms() == T0


async def test_refused_payloads_of_any_bytes_are_taken(record: Pair) -> None:
    store, _ = record
    await store.append([], [Refused("broker", T0, "wood/\udcff", bytes(range(256)), "no number: '\ud800'")])


async def test_calls_that_wait_together_all_return_written(record: Pair) -> None:
    store, history = record
    await asyncio.gather(*(store.append([reading(n, n)]) for n in range(700)))
    assert history.columns("t1/temperature_c", *ALWAYS)[1] == list(range(700))


async def test_journal_is_kept_once_and_in_time_order(record: Pair) -> None:
    store, history = record
    late = JournalEntry("e2", T0 + 1, "placed", "t1", {"zone": "bench-room", "note": "über der Bank", "since": None})
    early = JournalEntry("e1", T0, "received", "lot-1", {"pieces": 8, "mean_pct": 7.25})
    assert await store.add_journal([late, early]) == 2
    assert await store.add_journal([JournalEntry("e1", T0, "received", "lot-1", {"pieces": 9})]) == 0
    assert await store.add_journal([]) == 0
    assert history.journal() == [early, late]
    assert history.journal(kind="placed") == [late]
    assert history.journal(subject="lot-1") == [early]
    assert history.journal("placed", "lot-1") == []


async def test_a_journal_entry_that_is_no_json_is_named(record: Pair) -> None:
    store, history = record
    good = JournalEntry("e1", T0, "placed", "t1", {})
    with pytest.raises(ValueError, match=r"journal entry 'e2': found .*nan"):
        await store.add_journal([good, JournalEntry("e2", T0, "metered", "lot-1", {"mc_pct": float("nan")})])
    assert history.journal() == []


async def test_alerts_keep_their_newest_state_and_every_change(record: Pair) -> None:
    store, history = record
    first, second, third = alert(), alert("acknowledged", T0 + 5), alert("normal", T0 + 9)
    await store.put_alerts([first])
    await store.put_alerts([first])  # as it was: no change
    await store.put_alerts([second, alert(alert_id="a2")])
    assert history.alerts() == [second, alert(alert_id="a2")]
    await store.put_alerts([third])
    assert history.alerts() == [alert(alert_id="a2")]
    assert history.alert_changes(*ALWAYS) == [first, alert(alert_id="a2"), second, third]
    assert history.alert_changes(T0 + 5, T0 + 9) == [second]


async def test_what_the_journal_says_of_a_deed_is_kept_with_it_or_not_at_all(record: Pair) -> None:
    store, history = record
    entry = JournalEntry("c1", T0, "acknowledged", "loft", {})
    assert await store.put_alerts([alert("acknowledged", T0 + 5)], ("c1", {"done": True}), [entry]) is None
    assert history.journal() == [entry]
    again = await store.put_alerts([alert("shelved", T0 + 6)], ("c1", {}), [JournalEntry("c2", T0, "shelved", "l", {})])
    assert (again, history.journal()) == ({"done": True}, [entry])
    with pytest.raises(ValueError, match="journal entry 'c3'"):
        await store.put_alerts(
            [alert("normal", T0 + 7)], ("c3", {}), [JournalEntry("c3", T0, "x", "l", {"a": object()})]
        )
    assert history.alerts() == [alert("acknowledged", T0 + 5)]


async def test_the_story_of_a_span_begins_with_what_stood_and_pages_follow_each_other(record: Pair) -> None:
    store, history = record
    changes = [
        alert(alert_id="over"), alert("normal", T0 + 1, alert_id="over"), alert(changed_ms=T0 + 2, alert_id="stood"),
        alert("shelved", T0 + 3, alert_id="stood"), alert(changed_ms=T0 + 10, alert_id="new"),
        alert("normal", T0 + 11, alert_id="stood"), alert("normal", T0 + 20, alert_id="new"),
    ]  # fmt: skip
    for one in changes:
        await store.put_alerts([one])
    assert history.alert_story(T0 + 10, T0 + 20) == changes[2:6]
    assert history.alert_story(0, T0 + 10) == changes[:4]
    assert history.alert("over") == changes[1]
    assert history.alert("none") is None
    newest = history.alert_page(T0, T0 + 20, 2**53, 4)
    assert [one for _, one in newest] == changes[5:1:-1]
    assert [one for _, one in history.alert_page(T0, T0 + 20, newest[-1][0], 4)] == changes[1::-1]


async def test_a_command_asked_twice_is_done_once(record: Pair) -> None:
    store, history = record
    done = {"done": True, "alert": "a1"}
    assert await store.put_alerts([alert("acknowledged", T0 + 5)], ("c1", done)) is None
    assert history.command("c1") == done
    again = await store.put_alerts([alert("shelved", T0 + 6)], ("c1", {"done": False}))
    assert again == done
    assert history.alerts() == [alert("acknowledged", T0 + 5)]
    assert await store.remember_command("c1", T0, {"other": 1}) == done
    assert await store.remember_command("c2", T0, {"other": 1}) is None
    assert await store.put_alerts([], ("c2", {})) == {"other": 1}


async def test_a_reply_that_is_no_json_changes_no_alert(record: Pair) -> None:
    store, history = record
    with pytest.raises(ValueError, match="command 'c1'"):
        await store.put_alerts([alert()], ("c1", {"when": object()}))
    assert history.alerts() == []


async def test_what_was_made_at_the_wall_is_kept_with_its_command_once(record: Pair) -> None:
    store, history = record
    made = [Made("source", "line-1", {"port": "p", "keys": {"t": "temperature"}}, T0), Made("sensor", "s1", {}, T0 + 1)]
    entry = JournalEntry("placed:s1", T0, "placed", "s1", {"zone": "bench"})
    assert await store.change_made(("c1", {"done": 1}), made=made, entries=[entry]) is None
    assert history.made() == made
    assert history.journal("placed") == [entry]
    again = [Made("source", "other", {}, T0)]
    assert await store.change_made(("c1", {"done": 2}), made=again, gone=[("source", "line-1")]) == {"done": 1}
    assert history.made() == made
    assert await store.change_made(("c2", {"done": 3}), gone=[("source", "line-1"), ("sensor", "none")]) is None
    assert history.made() == made[1:]


async def test_a_zones_air_is_made_anew_and_what_it_was_counts_no_more(record: Pair) -> None:
    """Hours and days follow; a note says how far it has come; the same again changes nothing."""
    store, history = record
    name, hour_ms = "zone:loft/emc_pct", 3_600_000
    begin_ms = T0 - T0 % hour_ms
    old = [Reading(name, begin_ms + n * 600_000, 8.0 + n) for n in range(12)]
    await store.append(old)
    span = (begin_ms + hour_ms // 2, begin_ms + 3 * hour_ms)
    new = [Reading(name, begin_ms + n * 900_000, 20.0 + n) for n in (2, 3, 4, 9)]
    for _ in range(2):
        await store.replace_air({"loft"}, *span, new, ("air-remaking:a", "half"))
        good = [(r.t_ms, r.value) for r in history.readings(name, 0, 1 << 60)]
        assert good == [(r.t_ms, r.value) for r in (*old[:3], *new)]
        whole = history.readings(name, 0, 1 << 60, good_only=False)
        assert [r.value for r in whole if r.flags & Flag.UNPLACED] == [12.0, 13.0, 15.0, 16.0, 17.0, 18.0, 19.0]
        rows = [(h.mean, h.count) for h in history.rollups(name, "hour", 0, 1 << 60)]
        assert rows == [(pytest.approx((8 + 9 + 10 + 22 + 23) / 5), 5), (24.0, 1), (29.0, 1)]
        assert sum(d.count for d in history.rollups(name, "day", 0, 1 << 60)) == 7
        assert history.settings("air-") == {"air-remaking:a": "half"}
    await store.replace_air({"loft"}, *span, [r for r in old if r.t_ms >= span[0]], ("air-remaking:a", None))
    assert [r.value for r in history.readings(name, 0, 1 << 60)] == [r.value for r in old]
    assert history.settings("air-") == {}
    await store.append([Reading(name, span[1] + 1, 5.0)])  # the newest of the series is known
    assert history.rollups(name, "hour", 0, 1 << 60)[-1].count == 1


async def test_air_of_pruned_hours_stays_as_it_is(record: Pair) -> None:
    store, history = record
    name, hour_ms = "zone:loft/emc_pct", 3_600_000
    begin_ms = T0 - T0 % hour_ms
    await store.append([Reading(name, begin_ms + n * 600_000, 8.0) for n in range(12)])
    assert history.raw_from_ms(name) == 0
    await store.prune(name, begin_ms + hour_ms, 100)
    assert history.raw_from_ms(name) == begin_ms + hour_ms
    await store.replace_air({"loft"}, begin_ms, begin_ms + 2 * hour_ms, [Reading(name, begin_ms, 9.0)], ("n", None))
    assert [h.count for h in history.rollups(name, "hour", 0, 1 << 60)] == [6]
    assert history.readings(name, 0, 1 << 60) == []


async def test_what_cannot_be_made_takes_nothing_along(record: Pair) -> None:
    store, history = record
    await store.change_made(("c1", {}), made=[Made("source", "a", {}, T0)])
    with pytest.raises(StoreError, match="UNIQUE"):
        await store.change_made(("c2", {}), made=[Made("source", "b", {}, T0), Made("source", "a", {}, T0)])
    with pytest.raises(ValueError, match="source 'c': found"):
        await store.change_made(("c3", {}), made=[Made("source", "c", {"x": float("nan")}, T0)])
    assert [one.id for one in history.made()] == ["a"]
    assert history.command("c2") is history.command("c3") is None


async def test_history_may_be_asked_from_many_threads_while_a_store_writes(record: Pair) -> None:
    store, history = record
    seen: list[list[float]] = []
    stop = threading.Event()

    def ask() -> None:
        while not stop.is_set():
            seen.append(history.columns("t1/temperature_c", *ALWAYS)[1])

    threads = [threading.Thread(target=ask) for _ in range(3)]
    for thread in threads:
        thread.start()
    try:
        for turn in range(40):
            await store.append([reading(turn * 10 + n, turn * 10 + n) for n in range(10)])
    finally:
        stop.set()
        for thread in threads:
            thread.join()
    assert seen
    # whole calls only: never part of one
    assert all(values == list(range(len(values))) and len(values) % 10 == 0 for values in seen)


async def test_it_is_all_there_after_closing_and_opening(tmp_path: Path) -> None:
    for kind in STORES:
        folder = tmp_path / kind
        store, history = open_store(folder, "America/New_York", ManualClock(T0), kind)
        await store.append([reading(20)])
        await store.add_journal([JournalEntry("e1", T0, "placed", "t1", {"zone": "loft"})])
        await store.put_alerts([alert()], ("c1", {"done": True}))
        await store.close()
        before = (history.readings("t1/temperature_c", *ALWAYS), history.journal(), history.alerts())
        store, history = open_store(folder, "America/New_York", ManualClock(T0), kind)
        await store.append([reading(20), reading(22, 10)])
        assert (history.readings("t1/temperature_c", *ALWAYS)[:1], history.journal(), history.alerts()) == before
        assert history.rollups("t1/temperature_c", "hour", *ALWAYS)[0].mean == 21
        await store.close()


async def test_a_folder_has_one_owner(record: Pair, tmp_path: Path) -> None:
    with pytest.raises(StoreBusy, match=r"state.*process \d+"):
        open_store(tmp_path / "state", "America/New_York")


async def test_closing_writes_what_is_queued_and_then_nothing_more(record: Pair) -> None:
    store, history = record
    waiting = [asyncio.create_task(store.append([reading(n, n)])) for n in range(20)]
    await asyncio.sleep(0)  # each has queued its rows
    await store.close()
    await asyncio.gather(*waiting)
    assert len(history.columns("t1/temperature_c", *ALWAYS)[0]) == 20
    with pytest.raises(StoreError, match="closed"):
        await store.append([reading(1)])
    await store.close()


async def test_a_cancelled_call_harms_no_other(record: Pair) -> None:
    store, history = record
    calls = [asyncio.create_task(store.append([reading(n, n)])) for n in range(10)]
    await asyncio.sleep(0)
    calls[3].cancel()
    results = await asyncio.gather(*calls, return_exceptions=True)
    assert [n for n, result in enumerate(results) if result is not None] == [3]
    kept = history.columns("t1/temperature_c", *ALWAYS)[1]
    assert set(kept) >= {n for n in range(10) if n != 3}


def test_an_unknown_zone_or_kind_is_named(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=r"found 'Lantern/Hill'.*IANA"):
        open_store(tmp_path, "Lantern/Hill")
    with pytest.raises(ValueError, match=r"found 'paper'.*'sqlite'"):
        open_store(tmp_path, "UTC", kind="paper")


DAY = 24 * HOUR
MIDNIGHT = T0 - T0 % DAY


def checkpoint(day: int, lot: str = "cherry", state: bytes = b"profile") -> Checkpoint:
    return Checkpoint(MIDNIGHT + day * DAY, lot, state)


def all_checkpoints(history: History) -> list[tuple[int, str]]:
    edges = reversed(history.checkpoint_edges(1 << 50))
    return [((c.at_ms - MIDNIGHT) // DAY, c.lot) for e in edges for c in history.checkpoints(e, {"cherry", "oak"})]


async def test_the_last_good_reading_before_a_moment(record: Pair) -> None:
    store, history = record
    await store.append([reading(20.0), reading(21.0, 1), reading(99.0, 2, flags=Flag.RANGE)])
    assert history.last_before("t1/temperature_c", T0 + 3 * 60_000) == reading(21.0, 1)
    assert history.last_before("t1/temperature_c", T0 + 60_000) == reading(20.0)
    assert history.last_before("t1/temperature_c", T0) is None


async def test_checkpoints_are_kept_replaced_and_thinned(record: Pair) -> None:
    store, history = record
    assert await store.keep_checkpoints([checkpoint(0), checkpoint(0, "oak"), checkpoint(1)], history.lots_mark())
    assert await store.keep_checkpoints([checkpoint(1, state=b"other")], history.lots_mark())
    assert history.checkpoint_edges(MIDNIGHT + DAY) == [MIDNIGHT + DAY, MIDNIGHT]
    assert history.checkpoint_edges(MIDNIGHT + DAY - 1) == [MIDNIGHT]
    assert history.checkpoints(MIDNIGHT + DAY, {"cherry", "elm"}) == [checkpoint(1, state=b"other")]
    await store.keep_checkpoints([checkpoint(day) for day in range(2, 131)], history.lots_mark())
    kept = [day for day, _ in all_checkpoints(history)]
    assert kept[-101:] == list(range(30, 131))
    assert all((MIDNIGHT // DAY + day) % 30 == 0 for day in kept[:-101])


async def test_many_that_became_untrue_are_never_read_and_go_bit_by_bit(record: Pair) -> None:
    """So that readings are kept in between; meanwhile none is kept that could be taken for one of them."""
    store, history = record
    lots = [f"lot-{i}" for i in range(150)]
    many = [checkpoint(day, lot) for day in range(4) for lot in lots]
    await store.append([reading(8.0, series="zone:loft/emc_pct"), reading(20.0)])
    await store.keep_checkpoints(many, history.lots_mark())
    await store.append([Reading("zone:loft/emc_pct", MIDNIGHT + 1, 7.0)])
    assert history.checkpoint_edges(1 << 50) == [MIDNIGHT]
    assert history.checkpoints(MIDNIGHT + 3 * DAY, set(lots)) == []
    assert not await store.keep_checkpoints(many[-1:], history.lots_mark())
    assert await store.forget_stale()
    while await store.forget_stale():
        pass
    assert await store.keep_checkpoints(many[-1:], history.lots_mark())
    assert history.checkpoint_edges(1 << 50) == [MIDNIGHT + 3 * DAY, MIDNIGHT]
    assert history.checkpoints(MIDNIGHT + 3 * DAY, set(lots)) == many[-1:]


async def test_no_checkpoint_outlives_what_it_does_not_know(record: Pair) -> None:
    """A zone's air that comes late, and a word about a lot's past, take the later ones with them, all in one go."""
    store, history = record
    four = [checkpoint(day, lot) for day in range(4) for lot in ("cherry", "oak")]
    await store.append([reading(8.0, series="zone:loft/emc_pct"), reading(20.0)])
    await store.keep_checkpoints(four, history.lots_mark())
    noon = MIDNIGHT + DAY + 12 * HOUR
    entry = JournalEntry("entry-1", noon, "milled", "oak", {})
    assert await store.add_journal([entry], ({"oak"}, noon)) == 1
    assert all_checkpoints(history) == [
        (0, "cherry"),
        (0, "oak"),
        (1, "cherry"),
        (1, "oak"),
        (2, "cherry"),
        (3, "cherry"),
    ]
    await store.keep_checkpoints(four, history.lots_mark())
    assert await store.add_journal([entry], ({"oak"}, noon)) == 0  # written before: nothing is new
    assert len(all_checkpoints(history)) == 8
    await store.append([Reading("t1/temperature_c", MIDNIGHT, 19.0), Reading("zone:loft/emc_pct", T0, 8.0)])
    assert len(all_checkpoints(history)) == 8  # a sensor's own series moves no lot, and this air was known
    before = history.lots_mark()
    await store.append([Reading("zone:loft/emc_pct", MIDNIGHT + 1, 7.0)])
    assert not await store.keep_checkpoints(four, before)  # worked out before that air was known
    assert all_checkpoints(history) == [(0, "cherry"), (0, "oak")]
