"""The real broker on a store it cannot read, and on a disk without room for its configuration."""

from __future__ import annotations

import asyncio
import logging
import os
import subprocess
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path

import pytest

from sensors.mqtt import Publisher
from server.broker import Broker
from server.broker_folder import CONFIGURATION, STORE, keep_configuration, moved_aside
from server.clock import ManualClock
from tests.unit.sensors.helpers import a_broker, free_port, until

NOON_MS = 1_799_755_200_000  # 2027-01-12 12:00 UTC
NAME = f"{STORE}.unreadable-20270112T120000Z"
as_root = pytest.mark.skipif(os.geteuid() != 0, reason="needs root: it mounts a file system of 64 kB")


@asynccontextmanager
async def at_work(broker: Broker) -> AsyncIterator[asyncio.Task[None]]:
    task = asyncio.create_task(broker.run())
    try:
        yield task
    finally:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task


async def a_real_store(folder: Path) -> bytes:
    """What mosquitto itself has left behind, with something in it."""
    async with a_broker(folder) as broker, Publisher("127.0.0.1", broker.port) as device:
        for number in range(30):
            device.publish(f"shop/{number}/temperature", str(number), retain=True)
        await device.flushed()
    kept = (folder / STORE).read_bytes()
    assert b"shop/29/temperature" in kept
    return kept


def put_aside(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob(f"{STORE}.*"))


@pytest.mark.parametrize("damage", ["cut off", "something else"])
async def test_a_store_it_cannot_read_is_kept_aside_told_and_it_listens(
    tmp_path: Path, damage: str, caplog: pytest.LogCaptureFixture
) -> None:
    whole = await a_real_store(tmp_path)
    bad = whole[:-3] if damage == "cut off" else b"\x07" * 4000
    (tmp_path / STORE).write_bytes(bad)
    caplog.set_level(logging.ERROR, logger="server.broker")
    broker = Broker(tmp_path, free_port(), ManualClock(NOON_MS))
    async with at_work(broker):
        await until(broker.ready.is_set, 20)
        assert broker.status.restarts == 1
        assert broker.told.startswith("listening: it could not read what it had kept; that lies in ")
        assert str(tmp_path / NAME) in broker.told
        assert (tmp_path / NAME).read_bytes() == bad
        async with Publisher("127.0.0.1", broker.port) as device:
            device.publish("shop/loft/temperature", "20.4")
            await device.flushed()
    assert [NAME in record.message and "database" in record.message for record in caplog.records] == [True]


async def test_a_store_that_it_reads_is_left_where_it_is(tmp_path: Path) -> None:
    await a_real_store(tmp_path)
    async with a_broker(tmp_path) as broker:
        assert (broker.told, broker.status.restarts) == ("listening", 0)
    assert put_aside(tmp_path) == []


async def test_a_second_one_before_it_ran_steadily_stays_where_it_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("server.broker.STEADY_AFTER_S", 3600.0)
    (tmp_path / STORE).write_bytes(b"\x07" * 4000)
    broker = Broker(tmp_path, free_port(), ManualClock(NOON_MS))
    async with at_work(broker):
        await until(broker.ready.is_set, 20)
        assert broker.status.pid is not None
        (tmp_path / STORE).write_bytes(b"\x08" * 4000)
        os.kill(broker.status.pid, 9)
        await until(lambda: broker.status.restarts >= 3 and broker.status.state == "lost", 20)
        assert "mosquitto ended with code 1: " in broker.status.last_error
    assert (tmp_path / STORE).read_bytes() == b"\x08" * 4000
    assert put_aside(tmp_path) == [NAME]


def test_two_in_one_second_get_two_names_and_none_is_no_error(tmp_path: Path) -> None:
    assert moved_aside(tmp_path, NOON_MS) is None
    for content in ("first", "second"):
        (tmp_path / STORE).write_text(content)
        moved_aside(tmp_path, NOON_MS)
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {NAME: "first", f"{NAME}-1": "second"}


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    disk = tmp_path / "disk"
    disk.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", disk], check=True)
    try:
        yield disk
    finally:
        subprocess.run(["umount", disk], check=True)


def fill(disk: Path) -> Path:
    filler = disk / "filler"
    with filler.open("wb", buffering=0) as file, suppress(OSError):
        while file.write(bytes(4096)):
            pass
    return filler


@as_root
async def test_a_full_disk_at_the_start_is_told_and_waited_for(small_disk: Path) -> None:
    filler = fill(small_disk)
    broker = Broker(small_disk, free_port())
    async with at_work(broker) as task:
        await until(lambda: broker.status.restarts)
        assert "No space left on device" in broker.told
        assert not task.done()
        assert not (small_disk / CONFIGURATION).exists(), "no half of a configuration under its name"
        filler.unlink()
        await until(broker.ready.is_set, 60)
        assert broker.told == "listening"


@as_root
def test_a_configuration_that_says_the_same_needs_no_room_and_another_leaves_it_whole(small_disk: Path) -> None:
    keep_configuration(small_disk, 1999)
    before = (small_disk / CONFIGURATION).read_text()
    fill(small_disk)
    keep_configuration(small_disk, 1999)
    with pytest.raises(OSError, match="No space left"):
        keep_configuration(small_disk, 2000)
    assert (small_disk / CONFIGURATION).read_text() == before
