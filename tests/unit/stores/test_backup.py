"""Copies while it is written, put back all or nothing, and what a look through the record finds.

Field pitfalls 9 and 33: no copy of the live file by hand, and no file under its name before it is whole.
"""

from __future__ import annotations

import asyncio
import os
import shutil
import sqlite3
from collections.abc import AsyncIterator
from contextlib import closing
from pathlib import Path

import pytest

from server.cli import main
from server.clock import ManualClock
from server.reading import Alert, Flag, Reading
from server.store_command import alert_steps
from server.stores import backup as module
from server.stores.backup import BackupStopped, back_up, backup_name, backups, restore, thin_out
from server.stores.catalog import open_store
from server.stores.port import History, Store, StoreBusy, StoreDamaged, StoreError, StoreFull
from server.stores.sqlite_file import FILE_NAME
from server.stores.sqlite_history import SqliteHistory
from server.stores.verify import looks

T0 = 1_799_755_200_000
ALL = (0, 1 << 50)
SERIES = "t1/humidity_pct"
COPY = "record-20270112T120000Z.sqlite"


def rows(first: int, count: int = 100) -> list[Reading]:
    flagged = {7: Flag.RANGE, 8: Flag.SATURATED}
    return [
        Reading(SERIES, T0 + n * 60_000, 40.0 + n / 7.0, flagged.get(n % 50, Flag.NONE), 1.0 if n % 50 == 8 else None)
        for n in range(first, first + count)
    ]


@pytest.fixture
async def record(tmp_path: Path) -> AsyncIterator[tuple[Store, History]]:
    store, history = open_store(tmp_path / "state", "Europe/Oslo", ManualClock(T0))
    await store.append(rows(0, 3000))
    yield store, history
    await store.close()


def wrong(path: Path) -> list[str]:
    return [str(look) for look in [*looks(path), alert_steps(path)] if not look.right]


async def test_a_copy_while_a_writer_writes_is_one_whole_moment(record: tuple[Store, History], tmp_path: Path) -> None:
    store, _ = record
    going, written, some = True, 0, asyncio.Event()

    async def write() -> None:
        nonlocal written
        while going:
            await store.append(rows(3000 + written * 100))
            written += 1
            some.set()

    writing = asyncio.create_task(write())
    await some.wait()
    to = tmp_path / "stick" / backup_name(T0)
    assert to.name == COPY
    size = await asyncio.to_thread(back_up, tmp_path / "state" / FILE_NAME, to)
    going = False
    await writing
    assert os.listdir(to.parent) == [COPY]  # noqa: PTH208
    assert to.stat().st_size == size
    kept = SqliteHistory(to).readings(SERIES, *ALL, good_only=False)
    assert len(kept) % 100 == 0
    assert 3100 <= len(kept) <= 3000 + written * 100
    assert kept == rows(0, len(kept))
    assert wrong(to) == []


def test_names_sort_by_time_and_only_the_newest_are_kept(tmp_path: Path) -> None:
    names = [backup_name(T0 + day * 86_400_000) for day in range(10)]
    for name in [*names, "record-mine.sqlite", f"{names[0]}.part", "notes.txt"]:
        (tmp_path / name).touch()
    assert [p.name for p in backups(tmp_path)] == names
    assert [p.name for p in thin_out(tmp_path, 7)] == names[:3]
    assert [p.name for p in backups(tmp_path)] == names[3:]
    assert (tmp_path / "record-mine.sqlite").exists(), "a file that somebody else named is theirs"
    assert backups(tmp_path / "nowhere") == []


async def test_a_copy_that_is_stopped_or_fails_leaves_nothing(
    record: tuple[Store, History], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, to = tmp_path / "state" / FILE_NAME, tmp_path / "stick" / COPY
    monkeypatch.setattr(module, "_PAGES_A_STEP", 1)
    with pytest.raises(BackupStopped):
        back_up(path, to, lambda: True)
    assert os.listdir(to.parent) == []  # noqa: PTH208
    to.write_bytes(b"the one before")
    monkeypatch.setattr(module, "check_copy", lambda path: (_ for _ in ()).throw(StoreDamaged(f"{path}: cut")))
    with pytest.raises(StoreDamaged):
        back_up(path, to)
    assert to.read_bytes() == b"the one before"
    assert os.listdir(to.parent) == [COPY]  # noqa: PTH208


async def test_what_a_killed_copy_left_is_cleared_but_not_one_under_way(
    record: tuple[Store, History], tmp_path: Path
) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    (stick / "record-20270101T000000Z.sqlite.part").write_bytes(b"half")
    under_way = stick / "record-20270102T000000Z.sqlite.part"
    with module._held(under_way):
        back_up(tmp_path / "state" / FILE_NAME, stick / COPY)
        assert sorted(os.listdir(stick)) == sorted([COPY, under_way.name])  # noqa: PTH208
        with pytest.raises(StoreBusy, match="another copy is being made"), module._held(under_way):
            pass


def test_where_there_is_no_record_or_no_room_it_says_so(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match=r"record.sqlite: found no file; would be right: a record"):
        back_up(tmp_path / FILE_NAME, tmp_path / COPY)
    (tmp_path / "file").touch()
    with pytest.raises(StoreError, match=r"backup .*: (Not a directory|File exists); would be right: a folder"):
        back_up(tmp_path / FILE_NAME, tmp_path / "file" / COPY)
    assert issubclass(StoreFull, StoreError)


async def test_restore_is_refused_while_a_server_runs_and_then_keeps_the_present_one_aside(tmp_path: Path) -> None:
    state, to = tmp_path / "state", tmp_path / COPY
    store, history = open_store(state, "Europe/Oslo", ManualClock(T0))
    await store.append(rows(0))
    back_up(state / FILE_NAME, to)
    await store.append(rows(100))
    with pytest.raises(StoreBusy, match="holds it; would be right: stop that one"):
        restore(state, to, T0)
    await store.close()
    aside = restore(state, to, T0)
    assert aside == state / f"{FILE_NAME}.replaced-20270112T120000Z"
    assert history.readings(SERIES, *ALL, good_only=False) == rows(0)
    assert SqliteHistory(aside).readings(SERIES, *ALL, good_only=False) == rows(0, 200)
    assert to.exists()
    again = restore(state, to, T0)
    assert again == state / f"{FILE_NAME}.replaced-20270112T120000Z-1", "nothing that was kept is overwritten"
    assert restore(tmp_path / "new", to, T0) is None
    store, history = open_store(state, "Europe/Oslo", ManualClock(T0))
    await store.append(rows(100))
    await store.close()
    assert wrong(state / FILE_NAME) == []


@pytest.mark.parametrize("damage", ["cut", "other", "newer", "missing"])
async def test_a_copy_that_is_not_right_is_refused_and_the_present_one_stays(tmp_path: Path, damage: str) -> None:
    state, to = tmp_path / "state", tmp_path / COPY
    store, _ = open_store(state, "Europe/Oslo", ManualClock(T0))
    await store.append(rows(0, 3000))
    await store.close()
    shutil.copy(state / FILE_NAME, to)
    said = {
        "cut": "would be right: a whole", "other": "found no record of Stillstack", "newer": "found schema 900",
        "missing": "found no file",
    }  # fmt: skip
    if damage == "cut":
        os.truncate(to, to.stat().st_size // 2)
    elif damage == "missing":
        to.unlink()
    else:
        with closing(sqlite3.connect(to)) as connection, connection:
            other = "PRAGMA application_id = 7"
            connection.execute(other if damage == "other" else "INSERT INTO migration VALUES (900, 'later', 0)")
    before = (state / FILE_NAME).read_bytes()
    with pytest.raises(StoreError, match=said[damage]):
        restore(state, to, T0)
    assert (state / FILE_NAME).read_bytes() == before
    assert sorted(os.listdir(state)) == ["lock", FILE_NAME]  # noqa: PTH208


CHANGES = {
    "hours": "UPDATE hour SET mean = mean + 1 WHERE start_ms = (SELECT min(start_ms) FROM hour)",
    "hours gone": "DELETE FROM hour WHERE start_ms = (SELECT min(start_ms) FROM hour)",
    "hours of nothing": "INSERT INTO hour VALUES (1, 3600000, 1, 1, 1, 1)",
    "days": "UPDATE day SET maximum = 900 WHERE start_ms = (SELECT min(start_ms) FROM day)",
    "values": "UPDATE reading SET value = 9e999 WHERE flags = 1",
    "series": "INSERT INTO reading VALUES (77, 3600000, 1.0, 1, NULL)",
    "schema": "CREATE TABLE more (x INTEGER)",
    "changes of alerts": "UPDATE alert_change SET state = 'normal' WHERE number = 1",
    "changes of alerts ": "UPDATE alert_change SET state = 'acknowledged' WHERE number = 4",
    "changes of alerts  ": "UPDATE alert_change SET state = 'sleeping' WHERE number = 2",
}


@pytest.mark.parametrize("what", CHANGES)
async def test_a_look_through_finds_what_is_not_right(
    record: tuple[Store, History], tmp_path: Path, what: str, capsys: pytest.CaptureFixture[str]
) -> None:
    store, _ = record
    for n, state in enumerate(("unacknowledged", "returned", "shelved", "normal")):
        await store.put_alerts([Alert("a1", "dry-limit", "loft", state, "look", "dry", T0, T0 + n, None, {})])
    path = tmp_path / "state" / FILE_NAME
    assert wrong(path) == []
    assert main(["store", "verify", str(path)]) == 0
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute(CHANGES[what])
    found = wrong(path)
    name = "hours" if what.startswith("hours") else what.strip()
    assert found[0].startswith(f"WRONG  {name}: found ")
    assert [line for line in found[1:] if not line.startswith("WRONG  days")] == [], "but for days made of those hours"
    assert "; would be right: " in found[0]
    capsys.readouterr()
    assert main(["store", "verify", str(path)]) == 1
    assert found[0] in capsys.readouterr().out


def test_a_look_at_a_damaged_and_at_anothers_file_ends_there(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "other")) as connection:
        connection.execute("CREATE TABLE recipes (name TEXT)")
    assert wrong_of(tmp_path / "other") == ["file"]
    with pytest.raises(StoreError, match="found no file"):
        list(looks(tmp_path / "none"))
    (tmp_path / "text").write_bytes(b"the dog ate it" * 1000)
    with pytest.raises(StoreDamaged, match="not a database"):
        list(looks(tmp_path / "text"))


def wrong_of(path: Path) -> list[str]:
    return [look.what for look in looks(path) if not look.right]


async def test_the_commands_in_a_persons_hands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    state = tmp_path / "state"
    monkeypatch.setenv("STILLSTACK_STATE", str(state))
    monkeypatch.setenv("STILLSTACK_CONFIG", str(tmp_path / "stillstack.toml"))
    store, history = open_store(state, "Europe/Oslo", ManualClock(T0))
    await store.append(rows(0))
    assert main(["store", "backup", "--to", str(tmp_path / "mine.sqlite")]) == 0
    (tmp_path / "stillstack.toml").write_text('[store]\nbackup_folder = "elsewhere"\n')
    assert main(["store", "backup"]) == 0
    (made,) = backups(state / "elsewhere")
    assert f"{made}: " in capsys.readouterr().out
    assert main(["store", "restore", str(made)]) == 2
    assert "would be right: stop that one" in capsys.readouterr().err
    await store.append(rows(100))
    await store.close()
    assert main(["store", "restore", str(made)]) == 0
    assert "is the record now; the one before is kept as" in capsys.readouterr().out
    assert len(history.readings(SERIES, *ALL, good_only=False)) == 100
    os.truncate(tmp_path / "mine.sqlite", 20_000)
    assert main(["store", "restore", str(tmp_path / "mine.sqlite")]) == 1
    assert f"Other copies: {made}" in capsys.readouterr().err


async def test_readings_as_csv(
    record: tuple[Store, History], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("STILLSTACK_STATE", str(tmp_path / "state"))
    monkeypatch.setattr("server.store_command._MONTH_MS", 3_600_000)
    assert main(["store", "export", SERIES, "--from", "2027-01-12T12:07", "--to", "2027-01-12T12:09"]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "t_ms,time,series,value,flags,raw",
        f"{T0 + 420_000},2027-01-12T12:07:00.000Z,{SERIES},41.0,range,",
        f"{T0 + 480_000},2027-01-12T12:08:00.000Z,{SERIES},{40.0 + 8 / 7.0},saturated,1.0",
    ]
    assert main(["store", "export", SERIES, "--out", str(tmp_path / "all.csv")]) == 0
    lines = (tmp_path / "all.csv").read_text().splitlines()[1:]
    assert [float(line.split(",")[3]) for line in lines] == [r.value for r in rows(0, 3000)]
    assert main(["store", "export", "t9/humidity_pct"]) == 2
    said = f"found no reading of 't9/humidity_pct'; would be right: one of the record's series, such as {SERIES}"
    assert said in capsys.readouterr().err
    with pytest.raises(SystemExit):
        main(["store", "export", SERIES, "--from", "yesterday"])
    assert "found yesterday; would be right: a time such as" in capsys.readouterr().err


@pytest.mark.parametrize("name", [FILE_NAME, f"{FILE_NAME}-wal", "a-link"])
async def test_a_copy_over_the_record_itself_is_refused(
    record: tuple[Store, History], tmp_path: Path, name: str
) -> None:
    store, history = record
    (tmp_path / "state" / "a-link").symlink_to(tmp_path / "state" / FILE_NAME)
    with pytest.raises(StoreError, match="found the record itself; would be right: another name"):
        back_up(tmp_path / "state" / FILE_NAME, tmp_path / "state" / name)
    await store.append(rows(3000, 1))
    assert len(history.readings(SERIES, *ALL, good_only=False)) == 3001
