"""A record that a power cut or a worn disk has damaged: each time a running server, a report, and the old file aside.

Field pitfall 9: on failure the file is moved aside, what can be read is recovered, a new file is begun, and the wall is
told. Whether a row was lost rightly is judged by the bytes of the damaged page, not by our own reading of it.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import sqlite3
import struct
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, closing
from pathlib import Path
from typing import Any

import pytest

from server.clock import ManualClock
from server.reading import Alert, Flag, JournalEntry, Reading, Refused
from server.stores.backup import back_up, backup_name
from server.stores.catalog import open_store
from server.stores.port import History, Store, StoreError, StoreFull
from server.stores.sqlite_file import FILE_NAME
from server.stores.swap import finish

T0 = 1_799_755_200_000
PAGE = 4096
ALL = (0, 1 << 50)
ASIDE = f"{FILE_NAME}.damaged-20270112T120000Z"


@asynccontextmanager
async def opened(folder: Path) -> AsyncIterator[tuple[Store, History]]:
    store, history = open_store(folder, "America/New_York", ManualClock(T0))
    try:
        yield store, history
    finally:
        await store.close()


async def keep_some(store: Store) -> None:
    for part in range(30):
        await store.append(
            [
                Reading(f"t{s}/humidity_pct", T0 + (part * 100 + n) * 60_000 + s, 30.0 + (part * 100 + n) / 7.0,
                        Flag.SATURATED if n == 50 else Flag.NONE, 1.5 if n == 50 else None)
                for n in range(100) for s in range(4)
            ],
            [Refused("line", T0 + part, "/dev/x", bytes(range(200)) * 40, "no number")],
        )  # fmt: skip
    await store.append([Reading("t1/humidity_pct", T0 + 1, 99.0)])
    await store.add_journal([JournalEntry(f"e{n}", T0 + n, "placed", "t1", {"note": "x" * n * 30}) for n in range(300)])
    for n in range(40):
        alert = Alert(
            f"a{n}", "dry-limit", "loft", "unacknowledged", "look", "dry", T0, T0 + n, None, {"limit_pct": 6.0}
        )
        await store.put_alerts([alert], (f"c{n}", {"done": True}))


@pytest.fixture(scope="module")
def original(tmp_path_factory: pytest.TempPathFactory) -> Path:
    import asyncio

    folder = tmp_path_factory.mktemp("original")

    async def fill() -> None:
        async with opened(folder) as (store, _):
            await keep_some(store)

    asyncio.run(fill())
    return folder


@pytest.fixture
def folder(original: Path, tmp_path: Path) -> Path:
    return shutil.copytree(original, tmp_path / "state")


def content(path: Path) -> dict[str, set[tuple[Any, ...]]]:
    """What was written, without what is made from it."""
    with closing(sqlite3.connect(path)) as connection:
        connection.text_factory = lambda raw: raw.decode("utf-8", "backslashreplace")
        return {
            table: set(connection.execute(f"SELECT * FROM {table}"))  # noqa: S608
            for table in ("reading", "refused", "replaced", "journal", "alert", "alert_change", "command", "series")
        }


def report(folder: Path) -> dict[str, Any]:
    (path,) = folder.glob("salvage-*.json")
    return json.loads(path.read_text())


async def runs(folder: Path) -> None:
    """It opens, takes a reading and answers; its rollups are those of its readings."""
    async with opened(folder) as (store, history):
        await store.append([Reading("t9/temperature_c", T0, 20.0)])
        assert history.latest("t9/temperature_c") == Reading("t9/temperature_c", T0, 20.0)
        history.journal(), history.alerts(), history.alert_changes(*ALL), history.newest_ms()
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def rollups_are_right(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        raw = "SELECT series, t_ms - t_ms % 3600000, min(value), max(value), count(*) FROM reading GROUP BY 1, 2"
        hours = "SELECT series, start_ms, minimum, maximum, count FROM hour ORDER BY 1, 2"
        assert connection.execute(raw).fetchall() == connection.execute(hours).fetchall()
        days = connection.execute("SELECT series, sum(count) FROM day GROUP BY 1").fetchall()
        assert days == connection.execute("SELECT series, count(*) FROM reading GROUP BY 1").fetchall()


def overwrite(path: Path, at: int, data: bytes) -> bytes:
    """Returns what stood on the page."""
    whole = path.read_bytes()
    with path.open("r+b") as file:
        file.seek(at)
        file.write(data)
    return whole[at // PAGE * PAGE : (at // PAGE + 1) * PAGE]


def lost_only_from(page: bytes, before: dict[str, set[Any]], after: dict[str, set[Any]]) -> None:
    """Every row that is gone or changed has its time or id on that page."""
    for table, rows in before.items():
        for row in rows - after[table]:
            marks = [v.to_bytes(6, "big") for v in row if isinstance(v, int) and v > 1 << 32]
            marks += [v.encode()[:40] for v in row if isinstance(v, str) and v]
            long = [v.encode() if isinstance(v, str) else v for v in row if isinstance(v, str | bytes) and len(v) > 900]
            on_page = any(mark in page for mark in marks) or any(page[8:60] in text for text in long)
            assert on_page, (table, row)  # a long row runs on over pages of its own


@pytest.mark.parametrize("seed", range(24))
async def test_a_bit_flipped_anywhere(folder: Path, seed: int) -> None:
    chance = random.Random(seed)
    path = folder / FILE_NAME
    before, size = content(path), path.stat().st_size
    number = chance.randrange(size // PAGE)
    # half of them where a page says what it holds: there a bit costs the page
    within = chance.randrange(PAGE) if seed % 2 else chance.randrange(60) + (100 if number == 0 else 0)
    flipped = bytes([path.read_bytes()[number * PAGE + within] ^ 1 << chance.randrange(8)])
    page = overwrite(path, number * PAGE + within, flipped)
    await runs(folder)
    after = content(path)
    lost_only_from(page, before, after)
    assert len(before["reading"] - after["reading"]) <= 180, "one page of readings at most"
    if (folder / ASIDE).exists():
        assert report(folder)["damage"]
        rollups_are_right(path)


async def test_a_page_above_the_leaves_costs_no_leaf(folder: Path) -> None:
    path = folder / FILE_NAME
    before = content(path)
    with closing(sqlite3.connect(path)) as connection:
        (root,) = connection.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'reading'").fetchone()
    page = overwrite(path, (root - 1) * PAGE, b"\x5a" * PAGE)
    assert page[0] == 2, "an inner page, with rows of its own"
    await runs(folder)
    after = content(path)
    lost_only_from(page, before, after)
    assert 0 < len(before["reading"] - after["reading"]) < 200
    assert report(folder)["found"]["reading"] > 10_000
    assert after["journal"] >= before["journal"]
    rollups_are_right(path)


async def test_a_leaf_lost_is_told_by_series_and_time(folder: Path) -> None:
    path = folder / FILE_NAME
    before = content(path)
    whole, mark = path.read_bytes(), T0.to_bytes(6, "big")[:2]
    pages = [whole[at : at + PAGE] for at in range(0, len(whole), PAGE)]
    leaves = [n for n, page in enumerate(pages) if page[0] == 10 and page.count(mark) > 110]
    number = leaves[len(leaves) // 2]  # most of them hold readings
    overwrite(path, number * PAGE, bytes(PAGE))
    await runs(folder)
    lost = before["reading"] - content(path)["reading"]
    names = dict(before["series"])
    assert lost
    found = report(folder)
    for series, t_ms, *_ in lost:
        gaps = found["missing"].get(names[series], [])
        inside = any(start < t_ms < end for start, end in gaps)
        assert inside or t_ms in {max(r[1] for r in before["reading"] if r[0] == series), T0 + series - 1}
    async with opened(folder) as (_, history):
        (entry,) = history.journal("salvaged")
        assert entry.subject == "record"
        assert entry.data["missing"] == found["missing"]


def cut_in_half(path: Path) -> None:
    os.truncate(path, path.stat().st_size // 2)


def cut_in_a_page(path: Path) -> None:
    os.truncate(path, path.stat().st_size - PAGE - 1000)


def no_header(path: Path) -> None:
    overwrite(path, 0, bytes(100))


def no_first_page(path: Path) -> None:
    overwrite(path, 0, bytes(PAGE))


def another_number_in_the_header(path: Path) -> None:
    overwrite(path, 68, struct.pack(">I", 0x12345678))


@pytest.mark.parametrize(
    ("damage", "share"),
    [(cut_in_half, 0.3), (cut_in_a_page, 0.97), (no_header, 1.0), (no_first_page, 1.0),
     (another_number_in_the_header, 1.0)],
)  # fmt: skip
async def test_cut_short_and_headless(folder: Path, damage: Callable[[Path], None], share: float) -> None:
    path = folder / FILE_NAME
    before = content(path)
    damage(path)
    damaged = path.read_bytes()
    await runs(folder)
    after = content(path)
    assert len(after["reading"] & before["reading"]) >= share * len(before["reading"])
    assert (folder / ASIDE).read_bytes() == damaged, "kept as it was found"
    rollups_are_right(path)
    if share == 1.0:
        assert after["journal"] >= before["journal"]
        assert after["alert_change"] == before["alert_change"]
        assert after["series"] >= before["series"]


@pytest.mark.parametrize("text", [b"the dog ate it" * 1000, bytes(50_000)])
async def test_nothing_to_be_read_is_a_new_record_that_names_the_newest_backup(
    folder: Path, text: bytes, caplog: pytest.LogCaptureFixture
) -> None:
    backups = folder / "backups"
    backups.mkdir()
    for day in (10, 11):
        (backups / f"record-202701{day}T030000Z.sqlite").write_bytes(b"one")
    (folder / FILE_NAME).write_bytes(text)
    await runs(folder)
    assert (folder / ASIDE).read_bytes() == text
    said = report(folder)["would_be_right"]
    assert said == (
        "nothing could be read; stop the server, then: stillstack store restore "
        f"{backups / 'record-20270111T030000Z.sqlite'}"
    )
    assert said in caplog.text


async def test_a_record_that_was_emptied_beside_its_copies_is_damage_and_no_new_start(folder: Path) -> None:
    back_up(folder / FILE_NAME, folder / "backups" / backup_name(T0))
    (folder / FILE_NAME).write_bytes(b"")
    for end in ("-wal", "-shm"):
        (folder / f"{FILE_NAME}{end}").unlink(missing_ok=True)
    store, history = open_store(folder, "Europe/Oslo", ManualClock(T0))
    await store.close()
    assert history.journal("salvaged"), "told, and the file kept aside"
    assert any(name.startswith(f"{FILE_NAME}.damaged-") for name in os.listdir(folder))  # noqa: PTH208


async def test_another_programs_file_is_refused_and_left_alone(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as connection:
        connection.execute("CREATE TABLE recipes (name TEXT)")
    before = (tmp_path / FILE_NAME).read_bytes()
    with pytest.raises(StoreError, match="found the database of another program"):
        open_store(tmp_path, "UTC")
    assert (tmp_path / FILE_NAME).read_bytes() == before
    assert [name for name in os.listdir(tmp_path) if "damaged" in name] == []  # noqa: PTH208


async def test_what_only_the_log_holds_is_salvaged_too(folder: Path, tmp_path: Path) -> None:
    """The write-ahead log of a killed writer beside a file whose header is gone."""
    other = tmp_path / "killed"
    other.mkdir()
    async with opened(folder) as (store, _):
        await store.append([Reading("late/temperature_c", T0 + n, 20.0 + n) for n in range(300)])
        for name in (FILE_NAME, f"{FILE_NAME}-wal"):  # as a kill leaves them
            shutil.copy(folder / name, other / name)
    assert (other / f"{FILE_NAME}-wal").stat().st_size > 0
    overwrite(other / FILE_NAME, 0, bytes(PAGE))
    await runs(other)
    async with opened(other) as (_, history):
        assert len(history.readings("late/temperature_c", *ALL)) == 300
        assert len(history.readings("t1/humidity_pct", *ALL)) == 3000


async def test_no_room_for_the_new_file_changes_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cut_in_half(folder / FILE_NAME)
    before = (folder / FILE_NAME).read_bytes()

    def full(path: Path) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("server.stores.swap.synced", full)
    with pytest.raises(StoreFull, match="No space left on device; would be right: a folder with room"):
        open_store(folder, "UTC", ManualClock(T0))
    assert (folder / FILE_NAME).read_bytes() == before
    monkeypatch.undo()
    await runs(folder)


async def test_a_swap_that_was_killed_between_any_two_steps_is_finished_by_the_next_start(folder: Path) -> None:
    old = (folder / FILE_NAME).read_bytes()
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        connection.execute("DELETE FROM journal")
        connection.commit()
    new = (folder / FILE_NAME).read_bytes()
    for step in range(5):
        place = folder.with_name(f"step-{step}")
        place.mkdir()
        (place / f"{FILE_NAME}.ready-damaged-x").write_bytes(new)
        aside = place / f"{FILE_NAME}.damaged-x"
        log, file = place / f"{FILE_NAME}-wal", place / FILE_NAME
        (log if step < 1 else aside.with_name(aside.name + "-wal")).write_bytes(b"log")
        (file if step < 2 else aside).write_bytes(old)
        if step == 4:
            (place / f"{FILE_NAME}.ready-damaged-x").rename(file)
        finish(place)
        finish(place)
        assert (file.read_bytes(), aside.read_bytes()) == (new, old)
        assert not log.exists(), "the old log must not be taken for the new file's"
        assert aside.with_name(aside.name + "-wal").read_bytes() == b"log"


@pytest.mark.parametrize("mask", [0x01, 0x5A, 0xFF])
async def test_keys_that_a_flipped_page_makes_up_neither_stop_the_start_nor_hide_a_gap(folder: Path, mask: int) -> None:
    """A leaf that still looks like one gives SQLite rows to walk over whose keys are of any kind."""
    path = folder / FILE_NAME
    with closing(sqlite3.connect(path)) as file:
        pages = file.execute("SELECT pageno FROM dbstat WHERE name = 'reading' AND pagetype = 'leaf'")
        leaves = [number for (number,) in pages]
    with path.open("r+b") as content:
        for page in leaves[1::17]:
            content.seek((page - 1) * PAGE + 64)
            held = content.read(PAGE - 64)
            content.seek((page - 1) * PAGE + 64)
            content.write(bytes(byte ^ mask for byte in held))
    await runs(folder)
    assert set(report(folder)["missing"]) >= {f"t{s}/humidity_pct" for s in range(4)}


@pytest.mark.parametrize("leaf", [18, 35, 52])
async def test_keys_that_a_flipped_page_makes_up_do_not_stop_the_start(folder: Path, leaf: int) -> None:
    """A leaf that still looks like one gives SQLite rows to walk over whose keys are of any kind."""
    path = folder / FILE_NAME
    with closing(sqlite3.connect(path)) as file:
        pages = file.execute("SELECT pageno FROM dbstat WHERE name = 'reading' AND pagetype = 'leaf'")
        leaves = [number for (number,) in pages]
    with path.open("r+b") as content:
        at = (leaves[leaf] - 1) * PAGE + 64
        content.seek(at)
        held = content.read(PAGE - 64)
        content.seek(at)
        content.write(bytes(byte ^ 1 for byte in held))
    await runs(folder)
    assert report(folder)["unreadable"] > 0
