"""The forwarder on a real record, with the seam's fake at its far end."""

from __future__ import annotations

import asyncio
import contextlib
import sqlite3
import threading
from collections.abc import AsyncIterator, Callable
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from server.clock import ManualClock
from server.reading import Flag, Reading
from server.stores.forward import Forwarder, Pace, pause_s
from server.stores.remote import Place, Point, RemoteAway, RemoteRefuses, RowsRefused
from server.stores.sqlite import SqliteStore
from tests.flow.conftest import until
from tests.remotes import FakeRemote, Kept

T0 = 1_799_755_200_000
QUICK = Pace(most=50, gather_s=0.0, look_s=0.05, pause=lambda failures, refused: 0.01)
EVERYTHING = Place("here", lambda series: True)


def reading(value: float, minutes: float = 0, series: str = "t1/emc_pct", flags: Flag = Flag.NONE) -> Reading:
    return Reading(series, T0 + round(minutes * 60_000), value, flags)


class Copy:
    """A record, a remote, and a forwarder between them."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.clock = ManualClock(T0)
        self.remote = FakeRemote()
        self.connects = 0
        self.store = SqliteStore(folder, "Europe/Oslo", self.clock)

    def connect(self) -> FakeRemote:
        self.connects += 1
        return self.remote

    async def forwarder(self, pace: Pace = QUICK, place: Place = EVERYTHING, remote_id: str = "there") -> Forwarder:
        await self.store.outbox.know({remote_id: place})
        return Forwarder(remote_id, "shop at there", self.store.outbox, self.connect, self.clock, pace)

    @contextlib.asynccontextmanager
    async def running(self, **more) -> AsyncIterator[Forwarder]:
        forwarder = await self.forwarder(**more)
        task = asyncio.create_task(forwarder.run())
        try:
            yield forwarder
        finally:
            task.cancel()
            await asyncio.wait({task})

    async def same(self) -> None:
        await until(lambda: self.remote.rows == self.local(), "the remote equal to the record")

    async def done(self, forwarder: Forwarder) -> None:
        def at_rest() -> bool:
            return (forwarder.state().state, forwarder.state().behind_rows) == ("idle", 0)

        await until(lambda: at_rest() and self.remote.rows == self.local(), "it caught up")

    def ask(self, question: str) -> list[tuple]:
        with closing(sqlite3.connect(self.folder / "record.sqlite")) as connection, connection:
            return connection.execute(question).fetchall()

    def local(self) -> Kept:
        rows = self.ask("SELECT name, t_ms, value, flags, coalesce(raw, value) FROM reading JOIN series ON id = series")
        return {(name, t_ms): (value, float(flags), raw) for name, t_ms, value, flags, raw in rows}


@pytest.fixture
async def copy(tmp_path: Path) -> AsyncIterator[Copy]:
    made = Copy(tmp_path)
    yield made
    await made.store.close()


async def test_what_was_there_and_what_comes_arrives(copy: Copy):
    await copy.store.append([reading(n / 8, n, f"t{n % 7}/emc_pct") for n in range(330)])
    async with copy.running() as forwarder:
        await copy.done(forwarder)
        await copy.store.append([reading(9.0, 400), Reading("zone:loft/emc_pct", T0, 8.0, Flag.SATURATED, 103.5)])
        await copy.same()
        # late, and another value for a moment that was sent already
        await copy.store.append([reading(7.5, 100.5, "t1/emc_pct"), reading(6.5, 8, "t1/emc_pct")])
        await copy.done(forwarder)
        state = forwarder.state()
        assert (state.state, state.behind_rows, state.behind_s, state.error) == ("idle", 0, 0.0, "")
        assert state.sent == 330 + 2 + 2
    assert copy.ask("SELECT count(*) FROM late") == [(0,)]
    assert max(len(write) for write in copy.remote.writes) <= 50
    assert copy.remote.closed == 1


async def test_at_rest_it_looks_at_nothing_until_something_is_stored(copy: Copy, monkeypatch: pytest.MonkeyPatch):
    looks: list[int] = []
    batch = copy.store.outbox.batch
    monkeypatch.setattr(copy.store.outbox, "batch", lambda remote, most: looks.append(most) or batch(remote, most))
    async with copy.running(pace=Pace(most=50, gather_s=0.0, look_s=3600.0)) as forwarder:
        for n in range(5):
            await copy.done(forwarder)
            await copy.store.append([reading(8.0, n)])
            await copy.done(forwarder)
    assert len(looks) <= 2 * 5 + 1


async def test_nothing_is_pruned_before_every_remote_has_it(copy: Copy):
    """Field pitfall 2: a remote that never answered has a claim on all there is."""
    await copy.store.append([reading(n, 60 * n) for n in range(48)])
    only_emc = Place("here", lambda series: series.endswith("/emc_pct"))
    await copy.store.outbox.know({"a": only_emc, "b": only_emc})
    await copy.store.outbox.moved("a", copy.store.outbox.batch("a", 100), (), T0)
    assert await copy.store.prune("t1/emc_pct", T0 + 24 * 3_600_000, 1000) == 0
    await copy.store.outbox.moved("b", copy.store.outbox.batch("b", 100), (), T0)
    assert await copy.store.prune("t1/emc_pct", T0 + 24 * 3_600_000, 1000) == 24


async def test_oldest_first_over_all_series(copy: Copy):
    await copy.store.append([reading(1.0, n, "a/emc_pct") for n in range(60)])
    await copy.store.append([reading(2.0, n + 0.5, "b/emc_pct") for n in range(60)])
    async with copy.running() as forwarder:
        await copy.done(forwarder)
    times = [p.t_ms for write in copy.remote.writes for p in write]
    assert times == sorted(times)


async def test_a_restart_sends_nothing_again(copy: Copy):
    await copy.store.append([reading(n, n) for n in range(120)])
    async with copy.running() as forwarder:
        await copy.done(forwarder)
    copy.remote.writes.clear()
    await copy.store.append([reading(n, n) for n in range(120, 130)])
    async with copy.running() as forwarder:
        await copy.done(forwarder)
    assert [len(write) for write in copy.remote.writes] == [10]


async def test_the_cursor_moves_only_after_a_yes(copy: Copy):
    """Field pitfalls 1 and 2: what is not answered stays, however often; nothing waits in memory meanwhile."""
    await copy.store.append([reading(n, n) for n in range(200)])
    answers: list[Exception | None] = [RemoteAway("503 Service Unavailable"), None] * 40

    def moody(_: list[Point]) -> None:
        if answers and (error := answers.pop(0)) is not None:
            raise error

    copy.remote.answer = moody
    async with copy.running() as forwarder:
        await copy.done(forwarder)
    failed = copy.remote.writes[0::2][:3]
    assert failed == copy.remote.writes[1::2][:3]


async def test_a_simulated_week_away_is_shown_and_made_up_for(copy: Copy):
    """Field pitfall 2: the remote is off for a week; every reading of it is there afterwards, without a gap."""
    here = threading.Event()

    def away(_: list[Point]) -> None:
        if not here.is_set():
            raise RemoteAway("connection refused")

    copy.remote.answer = away
    async with copy.running() as forwarder:
        await until(lambda: forwarder.state().state == "idle", "nothing to do yet")
        for hour in range(7 * 24):
            await copy.store.append([reading(n + hour / 8, 60 * hour + 10 * n, f"t{n}/emc_pct") for n in range(6)])
            copy.clock.advance(3600)
        await until(lambda: len(copy.remote.writes) > 5, "some tries")
        state = forwarder.state()
        assert state.state == "held"
        assert state.error == "connection refused"
        assert state.behind_rows == 7 * 24 * 6
        assert state.behind_s == 7 * 24 * 3600
        assert max(len(write) for write in copy.remote.writes) <= 50  # a week waits in the record, not in memory
        here.set()
        await copy.done(forwarder)
        assert forwarder.state().behind_rows == 0


async def test_what_only_a_person_can_mend_is_shown_and_the_token_read_again(copy: Copy):
    await copy.store.append([reading(8.0)])
    right = threading.Event()

    def guarded(_: list[Point]) -> None:
        if not right.is_set():
            raise RemoteRefuses("401 Unauthorized")

    copy.remote.answer = guarded
    async with copy.running() as forwarder:
        await until(lambda: copy.connects > 2, "it connects again after a refusal")
        assert forwarder.state().state == "refused"
        assert forwarder.state().error == "401 Unauthorized"
        right.set()
        await copy.done(forwarder)
        assert forwarder.state().error == ""


async def test_a_refused_row_goes_to_the_dead_letters_and_blocks_nothing(copy: Copy):
    await copy.store.append([reading(n, n) for n in range(70)])

    def picky(points: list[Point]) -> None:
        if any(p.value == 33 for p in points):
            raise RowsRefused("422 Unprocessable Entity: no 33", 422)

    copy.remote.answer = picky
    async with copy.running() as forwarder:
        await until(lambda: forwarder.state().state == "idle", "it caught up")
        assert {value for value, _, _ in copy.remote.rows.values()} == set(range(70)) - {33}
        assert copy.ask("SELECT remote, t_ms, value, status, reason, refused_ms FROM dead_letter") == [
            ("there", T0 + 33 * 60_000, 33.0, 422, "422 Unprocessable Entity: no 33", T0)
        ]
        assert forwarder.state().condemned == 1
        assert forwarder.state().sent == 69
        # the reason is mended: a rewind tries it again
        copy.remote.answer = lambda _: None
        await forwarder.rewind(T0, "c1")
        await copy.done(forwarder)
        assert forwarder.state().condemned == 0
    assert copy.ask("SELECT count(*) FROM dead_letter") == [(0,)]


async def test_a_wiped_remote_gets_it_all_again_and_asking_twice_is_asking_once(copy: Copy):
    await copy.store.append([reading(n, n, f"t{n % 3}/emc_pct") for n in range(130)])
    async with copy.running() as forwarder:
        await copy.done(forwarder)
        copy.remote.rows.clear()
        first = await forwarder.rewind(T0 + 60 * 60_000, "c1")
        assert first == {"done": True, "repeated": False, "remote": "there", "from_ms": T0 + 60 * 60_000}
        await until(lambda: len(copy.remote.rows) == 70, "the rows from there on")
        again = await forwarder.rewind(0, "c1")
        assert again == {**first, "repeated": True}
        await copy.store.append([reading(1.0, 900)])
        await until(lambda: len(copy.remote.rows) == 71, "only the new row")
        await forwarder.rewind(0, "c2")
        await copy.done(forwarder)


async def test_a_yes_to_what_was_under_way_does_not_undo_a_rewind(copy: Copy):
    await copy.store.append([reading(n, n) for n in range(40)])
    writing, go_on = threading.Event(), threading.Event()

    def slow(_: list[Point]) -> None:
        writing.set()
        go_on.wait(20)

    copy.remote.answer = slow
    async with copy.running() as forwarder:
        await until(writing.is_set, "a write under way")
        await forwarder.rewind(0, "c1")
        go_on.set()
        await copy.done(forwarder)
    assert [len(write) for write in copy.remote.writes] == [40, 40]


async def test_nor_does_a_batch_that_was_begun_while_the_rewind_was_on_its_way(copy: Copy):
    await copy.store.append([reading(n, n) for n in range(40)])
    forwarder = await copy.forwarder(Pace(most=30))
    writing, go_on = threading.Event(), threading.Event()
    rewind = copy.store.outbox.rewind
    under_way: list[asyncio.Task[bool]] = []

    def slow(_: list[Point]) -> None:
        writing.set()
        go_on.wait(20)

    async def begun_before(*order):
        under_way.append(asyncio.create_task(forwarder._one_batch()))
        await until(writing.is_set, "a batch under way")
        return await rewind(*order)

    await forwarder._one_batch()
    copy.remote.answer = slow
    copy.store.outbox.rewind = begun_before  # type: ignore[method-assign]
    await forwarder.rewind(0, "c1")
    go_on.set()
    assert await under_way[0]
    copy.remote.rows.clear()  # wiped, which was why
    while await forwarder._one_batch():
        pass
    assert copy.remote.rows == copy.local()
    forwarder._let_go()


async def test_another_place_begins_anew_and_a_forgotten_remote_costs_nothing(copy: Copy):
    await copy.store.append([reading(n, n) for n in range(30)])
    async with copy.running() as forwarder:
        await copy.done(forwarder)
    copy.remote.rows.clear()
    async with copy.running(place=Place("elsewhere", EVERYTHING.wanted)) as forwarder:
        await copy.done(forwarder)
    await copy.store.outbox.know({})
    await copy.store.append([reading(1.0, 3.5)])
    for table in ("late", "remote_late", "remote_series"):
        assert copy.ask(f"SELECT count(*) FROM {table}") == [(0,)]  # noqa: S608


async def test_late_rows_wait_for_the_slowest_remote_and_their_numbers_never_come_twice(copy: Copy):
    outbox = copy.store.outbox
    await outbox.know({"a": EVERYTHING, "b": EVERYTHING})
    await copy.store.append([reading(n, n) for n in range(10)])
    for value in (1.0, 2.0, 3.0):
        await copy.store.append([reading(value, 0.5)])
        await outbox.moved("a", outbox.batch("a", 100), (), T0)
    assert len(copy.ask("SELECT number FROM late")) == 3
    await outbox.moved("b", outbox.batch("b", 100), (), T0)
    assert copy.ask("SELECT number FROM late") == []
    await copy.store.append([reading(4.0, 0.5)])
    for remote in ("a", "b"):
        assert [p.value for p in outbox.batch(remote, 100).points] == [4.0]


async def test_only_the_wanted_quantities_go_and_the_others_follow_when_wanted(copy: Copy):
    await copy.store.append([reading(n, n, f"t1/{q}") for n in range(30) for q in ("emc_pct", "humidity_pct")])
    only_emc = Place("here", lambda series: series.endswith("/emc_pct"))
    async with copy.running(place=only_emc) as forwarder:
        await until(lambda: forwarder.state().state == "idle", "it caught up")
        await copy.store.append([reading(99.0, 3.5, "t1/humidity_pct"), reading(8.5, 3.5)])
        await until(lambda: len(copy.remote.rows) == 31 and forwarder.state().state == "idle", "the wanted late one")
        assert {series for series, _ in copy.remote.rows} == {"t1/emc_pct"}
    async with copy.running() as forwarder:
        await copy.done(forwarder)
    async with copy.running(place=only_emc) as forwarder:
        await copy.store.append([reading(98.0, 4.5, "t1/humidity_pct")])
        await until(lambda: forwarder.state().state == "idle", "it caught up")
    async with copy.running() as forwarder:
        await copy.done(forwarder)


async def test_rows_of_a_boot_without_a_set_clock_wait_for_their_time(copy: Copy):
    unset = Flag.CLOCK_UNSET
    await copy.store.outbox.know({"there": EVERYTHING})
    await copy.store.append([reading(n, n, flags=unset if n < 3 else Flag.NONE) for n in range(10)])
    first_ms = T0 + 10 * 60_000
    copy.ask(f"INSERT INTO boot VALUES (1, 0, 0, 'b1', {first_ms}, 0)")  # noqa: S608
    await copy.store.append([reading(n, n, flags=unset) for n in range(10, 15)])
    await copy.store.append([reading(20, 20, "t2/emc_pct")])
    await copy.store.append([reading(30, 12.5, flags=unset)])  # late as well
    async with copy.running() as forwarder:
        await until(lambda: forwarder.state().state == "idle", "all that can go has gone")
        # those of earlier boots go as they are
        assert sorted(value for value, _, _ in copy.remote.rows.values()) == [*range(10), 20]
        await until(lambda: forwarder.state().behind_rows == 7, "the five, the late one and its note")
        moved = "UPDATE reading SET t_ms = t_ms + 3600000, flags = flags & ~256 | 65536"
        copy.ask(f"{moved} WHERE flags & 256 AND t_ms >= {first_ms}")
        copy.ask("UPDATE boot SET clock_set = 1")
        await copy.done(forwarder)
    assert len(copy.remote.rows) == 17


async def test_a_stop_waits_for_no_write(copy: Copy):
    """Field pitfalls 1 and 28: a write that hangs holds nothing; its rows go after the next start."""
    await copy.store.append([reading(8.0)])
    writing, go_on = threading.Event(), threading.Event()

    def hangs(_: list[Point]) -> None:
        writing.set()
        go_on.wait(60)

    copy.remote.answer = hangs
    try:
        async with asyncio.timeout(5):
            async with copy.running():
                await until(writing.is_set, "a write under way")
            assert copy.remote.closed == 0
    finally:
        go_on.set()
    await until(lambda: copy.remote.closed == 1, "the thread that was left behind lets go")
    copy.remote.answer = lambda _: None
    copy.remote.rows.clear()
    async with copy.running() as forwarder:
        await copy.done(forwarder)


async def test_a_bug_on_the_way_is_shown_and_ends_nothing(copy: Copy, caplog: pytest.LogCaptureFixture):
    await copy.store.append([reading(8.0)])
    wrong = threading.Event()

    def broken(_: list[Point]) -> None:
        if not wrong.is_set():
            raise KeyError("a bug")

    copy.remote.answer = broken
    async with copy.running() as forwarder:
        await until(lambda: forwarder.state().error, "the bug is shown")
        assert forwarder.state().error == "KeyError: 'a bug'"
        wrong.set()
        await copy.done(forwarder)
    assert "a bug in its copy" in caplog.text


@pytest.mark.parametrize(("asked_s", "least_s"), [(0.4, 0.4), (None, 0.0), (1e9, 300.0)])
async def test_what_the_remote_asks_for_is_waited_within_reason(copy: Copy, asked_s: float | None, least_s: float):
    forwarder = await copy.forwarder()
    waits_s = forwarder._failed(RemoteAway("429 Too Many Requests", asked_s), 1)
    assert waits_s == max(least_s, 0.01)
    assert "429" in forwarder.state().error


def test_pauses_are_drawn_below_a_cap_and_refusals_are_asked_less_often():
    assert all(0.5 <= pause_s(n, refused=False) <= min(60.0, 2.0**n) for n in range(1, 40))
    assert all(15.0 <= pause_s(n, refused=True) <= 30.0 for n in range(1, 40))


async def test_an_estimate_of_what_is_left(copy: Copy):
    await copy.store.append([reading(n, n) for n in range(1000)])
    steps: list[int] = []

    def counted(points: list[Point]) -> None:
        copy.clock.advance(2.0)
        steps.append(forwarder.state().behind_rows)

    copy.remote.answer = counted
    forwarder = await copy.forwarder(QUICK)
    await forwarder._one_batch()
    await forwarder._one_batch()
    state = forwarder.state()
    assert (state.state, state.sent, state.behind_rows) == ("sending", 100, 900)
    assert state.left_s == pytest.approx(36.0)  # 900 rows at 50 in 2 s
    forwarder._let_go()


async def test_the_count_of_years_is_an_estimate_from_the_days(copy: Copy, monkeypatch: pytest.MonkeyPatch):
    await copy.store.append([reading(n / 8, 10 * n) for n in range(2000)])
    await copy.store.outbox.know({"there": EVERYTHING})
    assert copy.store.outbox.pending("there") == 2000
    monkeypatch.setattr("server.stores.sqlite_cursor._COUNTED", 100)
    assert 1900 <= copy.store.outbox.pending("there") <= 2000


Step = tuple[str, int, int]
STEPS = st.lists(
    st.tuples(
        st.sampled_from(["append", "late", "batch", "fail", "rewind", "restart"]), st.integers(0, 3), st.integers(0, 40)
    ),
    max_size=40,
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(STEPS)
def test_whatever_happens_in_between_the_remote_ends_equal(tmp_path_factory: pytest.TempPathFactory, steps: list[Step]):
    asyncio.run(played(Copy(tmp_path_factory.mktemp("copy")), steps))


async def played(copy: Copy, steps: list[Step]) -> None:
    """Rows in and out of order, batches of seven, yeses that never come back, rewinds and restarts, in any order."""
    try:
        forwarder = await copy.forwarder(Pace(most=7))
        for number, (deed, series, minute) in enumerate(steps):
            if deed == "append":
                await copy.store.append([reading(number, 100 + number + n, f"t{series}/emc_pct") for n in range(4)])
            elif deed == "late":
                await copy.store.append([reading(number, minute, f"t{series}/emc_pct")])
            elif deed == "batch":
                await forwarder._one_batch()
            elif deed == "fail":  # written there, but the answer is lost
                copy.remote.write(copy.store.outbox.batch("there", 7).points)
            elif deed == "rewind":
                await forwarder.rewind(T0 + minute * 60_000, f"c{number}")
            else:
                forwarder = await copy.forwarder(Pace(most=7))
        while await forwarder._one_batch():
            pass
        assert copy.remote.rows == copy.local()
    finally:
        await copy.store.close()


def test_no_callback_is_needed_to_know_the_shape(tmp_path: Path):
    heard: list[int] = []

    async def body() -> None:
        copy = Copy(tmp_path)
        listen: Callable[[int], None] = heard.append
        copy.store.outbox.listen(listen)
        await copy.store.append([reading(1.0), reading(2.0, 1)])
        await copy.store.append([])
        await copy.store.close()

    asyncio.run(body())
    assert heard == [2]
