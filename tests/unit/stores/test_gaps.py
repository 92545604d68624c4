"""A salvage names all that a record has lost: against records damaged here, row by row."""

from __future__ import annotations

import asyncio
import json
import os
import random
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from server.cli import main
from server.clock import ManualClock
from server.reading import Flag, Reading
from server.stores.backup import back_up, backup_name
from server.stores.catalog import open_store
from server.stores.rollups import HOUR_MS
from server.stores.sqlite_file import FILE_NAME
from server.stores.verify import looks

T0 = 1_799_755_200_000
PAGE = 4096
NAMES = [f"t{s}/{q}" for s in range(8) for q in ("temperature_c", "humidity_pct")]
Row = tuple[str, int, float]


async def fill(folder: Path) -> None:
    """Interleaved, with a clock that was a month ahead for a while and an hour back later, a burst and one that never
    speaks again."""
    store, _ = open_store(folder, "America/New_York", ManualClock(T0))
    at = T0
    for step in range(170):
        at += {50: 0, 112: 30 * 86_400_000, 122: -30 * 86_400_000, 150: -3_607_250}.get(step, 0)
        if step == 50:
            await store.append(
                [Reading("loud/temperature_c", at - 5000 + n, 30 + n / 1000, Flag.UNPLACED) for n in range(5000)]
            )
        heard = NAMES if step < 90 else NAMES[:-1]
        await store.append([Reading(name, at + n, 20 + step * 0.002 + n) for n, name in enumerate(heard)])
        at += 60_000
    await store.close()


@pytest.fixture(scope="module")
def original(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("original")
    asyncio.run(fill(folder))
    return folder


def rows(folder: Path) -> set[Row]:
    with closing(sqlite3.connect(folder / FILE_NAME)) as file:
        return set(file.execute("SELECT name, t_ms, value FROM reading JOIN series ON id = series"))


def whole_rows(folder: Path) -> set[tuple[Any, ...]]:
    with closing(sqlite3.connect(folder / FILE_NAME)) as file:
        question = "SELECT name, t_ms, value, flags, raw FROM reading JOIN series ON id = series"
        return set(file.execute(question))


def leaves(path: Path, table: str) -> list[int]:
    with closing(sqlite3.connect(path)) as file:
        question = "SELECT pageno FROM dbstat WHERE name = ? AND pagetype = 'leaf'"
        return [page for (page,) in file.execute(question, (table,))]


def blanked(path: Path, pages: list[int]) -> None:
    with path.open("r+b") as file:
        for page in pages:
            file.seek((page - 1) * PAGE)
            file.write(bytes(PAGE))


def report_in(folder: Path) -> dict[str, Any]:
    (path,) = folder.glob("salvage-*.json")
    return json.loads(path.read_text())


async def salvaged(folder: Path, *later: Reading) -> dict[str, Any]:
    store, _ = open_store(folder, "America/New_York", ManualClock(T0))
    await store.append(later)
    await store.close()
    return report_in(folder)


def unnamed(lost: set[Row], missing: dict[str, list[list[int]]]) -> list[Row]:
    return [row for row in lost if not any(a <= row[1] <= b for a, b in missing.get(row[0], []))]


@pytest.mark.parametrize("pages", [1, 2, 3, 5, 7, 9, 12, 16, 20, 25, 30, 40])
async def test_cut_short_by_any_number_of_pages_every_lost_reading_lies_in_a_named_span(
    original: Path, tmp_path: Path, pages: int
) -> None:
    folder = shutil.copytree(original, tmp_path / "state")
    path = folder / FILE_NAME
    before = rows(folder)
    os.truncate(path, path.stat().st_size - pages * PAGE)
    report = await salvaged(folder)
    lost = before - rows(folder)
    assert lost
    assert unnamed(lost, report["missing"]) == []
    assert rows(folder) <= before


def flipped(mask: int) -> Callable[[bytes], bytes]:
    return lambda held: held[:64] + bytes(byte ^ mask for byte in held[64:])


HARMS: dict[str, Callable[[bytes], bytes]] = {
    "zeros": lambda held: bytes(len(held)), "0x5a": flipped(0x5A), "1": flipped(1),
    "count": lambda held: held[:4] + bytes([held[4] // 3]) + held[5:],
    "half": lambda held: held[:2048] + os.urandom(2048), "cells": lambda held: held[:-600] + bytes(600),
}  # fmt: skip


@pytest.mark.parametrize("harm", HARMS)
@pytest.mark.parametrize("seed", range(4))
async def test_any_leaves_harmed_in_any_way_every_lost_run_is_named(
    original: Path, tmp_path: Path, harm: str, seed: int
) -> None:
    folder = shutil.copytree(original, tmp_path / "state")
    path, before = folder / FILE_NAME, rows(folder)
    pages = random.Random(seed).sample(leaves(path, "reading"), 3)
    with path.open("r+b") as file:
        for page in pages:
            file.seek((page - 1) * PAGE)
            held = file.read(PAGE)
            file.seek((page - 1) * PAGE)
            file.write(HARMS[harm](held))
    report = await salvaged(folder)
    lost = before - rows(folder)
    assert unnamed(lost, report["missing"]) == [] or harm in {"half", "cells"}
    if harm in {"half", "cells"}:  # what is left there may be a pause of the series' own making
        lone = unnamed(lost, report["missing"])
        assert all(not {(s, t + d) for d in (60_000, -60_000)} & {r[:2] for r in lone} for s, t, _ in lone)


async def test_a_pause_that_the_damage_did_not_make_is_not_named(original: Path, tmp_path: Path) -> None:
    """A month between two labels inside a page; and the one that fell silent is not missing till today."""
    folder = shutil.copytree(original, tmp_path / "state")
    path, before = folder / FILE_NAME, rows(folder)
    blanked(path, [leaves(path, "reading")[2]])
    report = await salvaged(folder)
    lost = before - rows(folder)
    assert {name for name, *_ in lost} == set(report["missing"])
    for name, spans in report["missing"].items():
        for start, end in spans:
            assert any(row[0] == name and start <= row[1] <= end for row in lost), (name, start, end)
    assert NAMES[-1] not in report["missing"]


def test_what_a_backup_holds_of_it_comes_back_by_the_very_line_that_is_told(
    original: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Values, flags and raw figures as they were; and what came after the copy stays."""
    folder = shutil.copytree(original, tmp_path / "state")
    path, before = folder / FILE_NAME, whole_rows(folder)
    copy = folder / "backups" / backup_name(T0)
    back_up(path, copy)
    (folder / "backups" / "record-20370111T030000Z.sqlite").write_bytes(b"newer, and no record")
    blanked(path, leaves(path, "reading")[3:6])
    report = asyncio.run(salvaged(folder, Reading("t1/humidity_pct", T0 + 7, 55.5)))
    lost = before - whole_rows(folder)
    assert len(lost) > 300
    told, _, line = report["would_be_right"].partition("; they come back, and what came since stays: ")
    assert told.endswith(f"{copy} holds {len(lost):,} readings of the spans that are missing")
    command = line.removeprefix("stop the server, then: stillstack ").split()
    assert command == ["store", "refill", str(copy)]
    monkeypatch.setenv("STILLSTACK_STATE", str(folder))
    for count in (len(lost), 0):
        assert main(command) == 0
        assert capsys.readouterr().out == f"{count:,} readings came back from {copy}\n"
        assert whole_rows(folder) - before == {("t1/humidity_pct", T0 + 7, 55.5, 0, None)}
        assert before <= whole_rows(folder)
    assert all(look.right for look in looks(path)), "hours and days as well"


def test_a_record_that_lost_nothing_and_a_copy_that_is_none_are_refused(
    original: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = shutil.copytree(original, tmp_path / "state")
    copy = folder / "backups" / backup_name(T0)
    back_up(folder / FILE_NAME, copy)
    monkeypatch.setenv("STILLSTACK_STATE", str(folder))
    assert main(["store", "refill", str(copy)]) == 2
    assert "found no salvage that named anything missing; would be right: one that did" in capsys.readouterr().err
    assert main(["store", "refill", str(folder / "x")]) == 2
    assert "x: found no file; would be right: a copy that stillstack store backup made" in capsys.readouterr().err
    copy.write_bytes(copy.read_bytes()[: 50 * PAGE])
    assert main(["store", "refill", str(copy)]) == 1
    assert "would be right: a whole" in capsys.readouterr().err


async def test_nothing_is_promised_of_a_backup_that_does_not_hold_it(original: Path, tmp_path: Path) -> None:
    folder = shutil.copytree(original, tmp_path / "state")
    path = folder / FILE_NAME
    copy = folder / "backups" / backup_name(T0)
    back_up(path, copy)
    with closing(sqlite3.connect(copy)) as file, file:
        file.execute("DELETE FROM reading")
    blanked(path, leaves(path, "reading")[3:5])
    assert (await salvaged(folder))["would_be_right"] == (
        "a disk that is not worn: change it before it does this again"
    )


async def pruned(folder: Path, hours: int, step_ms: int = 600_000) -> dict[str, list[Any]]:
    """A record whose raw readings were pruned but for the last day; its hours, by series."""
    store, history = open_store(folder, "America/New_York", ManualClock(T0))
    names = [f"t{n}/humidity_pct" for n in range(3)]
    for name in names:
        await store.append([Reading(name, T0 + n * step_ms, n / 7.0) for n in range(hours * HOUR_MS // step_ms)])
        while await store.prune(name, T0 + (hours - 24) * HOUR_MS, 5_000):
            pass
    told = {name: history.rollups(name, "hour", 0, 1 << 50) for name in names}
    await store.close()
    return told


@pytest.mark.parametrize("table", ["hour", "reading", "thinned", "all three"])
async def test_the_hours_of_pruned_readings_are_kept_as_far_as_they_can_be_read(tmp_path: Path, table: str) -> None:
    folder = tmp_path / "state"
    folder.mkdir()
    told = await pruned(folder, 1200)
    path = folder / FILE_NAME
    on_pages: list[int] = []
    for name in ("hour", "reading", "thinned") if table == "all three" else (table,):
        found = leaves(path, name)
        on_pages += found[len(found) // 2 :][:2] if name != "thinned" else found
    with closing(sqlite3.connect(path)) as file:
        cells = dict(file.execute("SELECT pageno, ncell FROM dbstat WHERE name = 'hour'").fetchall())
    blanked(path, on_pages)
    report = await salvaged(folder)
    store, history = open_store(folder, "America/New_York", ManualClock(T0))
    await store.close()
    gone = 0
    for name, hours in told.items():
        closed = [h for h in hours if h.start_ms < T0 + 1176 * HOUR_MS]
        after = {h.start_ms: h for h in history.rollups(name, "hour", 0, 1 << 50)}
        for hour in closed:
            if hour.start_ms in after:
                assert after[hour.start_ms] == hour
                continue
            gone += 1
            assert any(a <= hour.start_ms < b for a, b in report["missing"][name]), "and its loss is told"
    assert gone <= sum(cells.get(page, 0) for page in on_pages), "no more than lay on those pages"
    assert all(look.right for look in looks(path))


async def test_hours_a_day_apart_are_not_taken_for_days(tmp_path: Path) -> None:
    """Of a sensor that speaks once a day, whose readings were pruned."""
    folder = tmp_path / "state"
    folder.mkdir()
    told = await pruned(folder, 24 * 400, 24 * HOUR_MS)
    path = folder / FILE_NAME
    blanked(path, leaves(path, "hour")[1:2])
    await salvaged(folder)
    store, history = open_store(folder, "America/New_York", ManualClock(T0))
    await store.close()
    kept = sum(len(history.rollups(name, "hour", 0, 1 << 50)) for name in told)
    assert kept > sum(map(len, told.values())) - 150
