"""What could not be read is kept up to a bound, by source and hour, and a restart goes on counting where it was."""

from __future__ import annotations

import sqlite3
from collections import Counter
from pathlib import Path

import pytest

from server.clock import ManualClock
from server.reading import Reading, Refused
from server.stores.catalog import open_store
from server.stores.port import Store
from server.stores.sqlite_file import FILE_NAME
from server.stores.sqlite_ledger import REFUSED_AN_HOUR

T0 = 1_799_755_200_000  # 2027-01-12 12:00 UTC, a whole hour
HOUR = 3_600_000


def opened(folder: Path) -> Store:
    return open_store(folder, "UTC", ManualClock(T0))[0]


def noise(count: int, t_ms: int = T0, source: str = "line") -> list[Refused]:
    return [Refused(source, t_ms + n, "/dev/x", b"\xff", f"{t_ms + n}") for n in range(count)]


def kept(folder: Path) -> Counter[tuple[str, int]]:
    connection = sqlite3.connect(folder / FILE_NAME)
    rows = connection.execute("SELECT source, (t_ms - ?) / ? FROM refused ORDER BY id", (T0, HOUR)).fetchall()
    connection.close()
    return Counter(rows)


async def test_two_hundred_a_source_and_hour_then_the_next_hour_begins_anew(tmp_path: Path) -> None:
    store = opened(tmp_path)
    for _ in range(3):  # an hour of noise comes in many turns
        await store.append([], [*noise(REFUSED_AN_HOUR - 50), *noise(3, source="mq")])
    await store.append([], noise(REFUSED_AN_HOUR + 9, T0 + HOUR))
    assert kept(tmp_path) == {
        ("line", 0): REFUSED_AN_HOUR,
        ("mq", 0): 9,
        ("line", 1): REFUSED_AN_HOUR,
    }
    await store.close()


async def test_the_first_are_kept_for_they_show_when_it_began(tmp_path: Path) -> None:
    store = opened(tmp_path)
    await store.append([], noise(REFUSED_AN_HOUR + 50))
    await store.close()
    connection = sqlite3.connect(tmp_path / FILE_NAME)
    assert connection.execute("SELECT min(t_ms), max(t_ms) FROM refused").fetchone() == (T0, T0 + REFUSED_AN_HOUR - 1)
    connection.close()


async def test_a_restart_and_a_call_that_failed_go_on_counting(tmp_path: Path) -> None:
    store = opened(tmp_path)
    await store.append([], noise(REFUSED_AN_HOUR - 20))
    await store.close()
    store = opened(tmp_path)
    with pytest.raises(ValueError, match="owner/quantity"):
        await store.append([Reading("nameless", T0, 20.0)], noise(5))
    await store.append([], noise(15))
    await store.append([], noise(15))
    await store.close()
    assert kept(tmp_path) == {("line", 0): REFUSED_AN_HOUR}


async def test_a_transaction_rolled_back_has_used_up_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    store = opened(tmp_path)
    with monkeypatch.context() as broken:
        broken.setattr("server.stores.rollups.recompute_days", lambda *_: 1 // 0)
        with pytest.raises(ZeroDivisionError):
            await store.append([Reading("t1/temperature_c", T0, 20.0)], noise(REFUSED_AN_HOUR))
    assert kept(tmp_path) == {}
    await store.append([], noise(REFUSED_AN_HOUR + 1))
    assert kept(tmp_path) == {("line", 0): REFUSED_AN_HOUR}
    await store.close()
