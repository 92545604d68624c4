"""What one server records, another hears again through its own wires: the same readings, the same refusals."""

from __future__ import annotations

import asyncio
import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from sensors.mqtt import Publisher
from sensors.recording import RecordingError, read_recording
from server.app import Settings, serving
from server.clock import SystemClock
from server.feed import feed
from tests.flow.conftest import Door, Shop, read_config, until
from tests.flow.test_path import listening

LINES = [
    b"cut off by the start\r\n",
    b"T=20.1 RH=41.0\r\n",
    b"T=20.2 RH=\xff\xfe\r\n",
    b"\x00\x01 boot 3.1\r\nT=20.3 RH=41.2\r\n",
    b"T=nan RH=41.3\r\n",
    b"T=20.5 RH=41.5",
    b"\nT=20.6 RH=41.6\r\n",
]
MESSAGES = [
    ("shop/loft-1/air", json.dumps({"temperature": 17.5, "humidity": 55.0}).encode()),
    ("shop/loft-1/air", b"{broken"),
    ("shop/loft-1/air", b"\xff" * 40),
    ("shop/loft-1/air", json.dumps({"temperature": 17.6, "humidity": 55.1}).encode()),
]


def settings(shop: Shop, **more: object) -> Settings:
    return Settings(shop.config(), shop.state, SystemClock(), **more)  # type: ignore[arg-type]


def kept(shop: Shop) -> tuple[list[tuple[str, float]], list[tuple[str, bytes]]]:
    """Values of the sensors in their order, and payloads refused, of a shop that has stopped."""
    with closing(sqlite3.connect(shop.state / "record.sqlite")) as record:
        readings = record.execute(
            "SELECT name, value FROM reading JOIN series ON series.id = reading.series "
            "WHERE name NOT LIKE 'zone:%' ORDER BY name, t_ms"
        ).fetchall()
        refused = record.execute("SELECT source, payload FROM refused ORDER BY source, id").fetchall()
    return readings, refused


async def counted(door: Door, heard: int, refused: int) -> bool:
    sources = (await door.http.get("/api/sources")).json()
    health = (await door.http.get("/api/health")).json()
    found = (sum(s["heard"] for s in sources), sum(s["refused"] for s in sources))
    return found == (heard, refused) and health["queued"] == 0


async def test_a_recording_played_again_is_heard_as_it_was(tmp_path: Path) -> None:
    recording = tmp_path / "evening.jsonl"
    (tmp_path / "first").mkdir()
    first = Shop(tmp_path / "first")
    async with serving(settings(first, record_to=recording)) as port, Door(port) as door:
        await until(lambda: listening(door), "both wires listening")
        async with Publisher("127.0.0.1", first.broker_port) as devices:
            for content in LINES:
                assert first.pty.write_line(content)
                await until(first.pty.flush, "the line taken")
                await asyncio.sleep(0)
            for topic, payload in MESSAGES:
                devices.publish(topic, payload)
            await until(lambda: counted(door, 6, 5), "everything counted")
    first.pty.close()
    heard = list(read_recording(recording))
    assert b"".join(e.content for e in heard if e.source == "line") == b"".join(LINES)
    assert [(e.topic, e.content) for e in heard if e.source == "mq"] == MESSAGES

    (tmp_path / "second").mkdir()
    second = Shop(tmp_path / "second")
    second.pty.close()  # the port is free for the recording
    config = second.config()
    async with serving(settings(second)) as port, Door(port) as door:
        fed = await feed(recording, config, speed=3600.0)
        await until(lambda: counted(door, 6, 5), "everything counted again")
    assert fed.sent.total() == len(heard)
    assert not fed.lost
    assert kept(second) == kept(first)
    assert len(kept(first)[0]) == 12
    assert not second.pty.link.is_symlink()


async def test_what_cannot_be_played_is_refused_before_anything_is(shop: Shop, tmp_path: Path) -> None:
    recording = tmp_path / "r.jsonl"
    config = shop.config()
    good = '{"t_s": 0, "source": "mq", "topic": "shop/loft-1/air", "bytes_b64": "e30="}\n'
    for text, said in (
        ("", "found nothing in it"),
        (good.replace('"mq"', '"attic"'), "found the source 'attic'; would be right: one of line, mq"),
        (good + "{", r"r\.jsonl:2: found '\{'"),
        (
            good + good.replace("loft-1", "+"),
            r"r\.jsonl:2: found the topic 'shop/\+/air'; would be right: one that may",
        ),
        (good + good.replace("loft-1", "\\ud800"), r"r\.jsonl:2: found the topic"),
        (good.replace('"mq"', '"line"'), "found .* there already; would be right: a port's name that is free"),
    ):
        recording.write_text(text)
        with pytest.raises(RecordingError, match=said):
            await feed(recording, config)


async def test_a_bus_that_asks_cannot_be_played(tmp_path: Path) -> None:
    text = """
[[destination]]
id = "heated"
name = "heated rooms"
region = "most-areas"
[[zone]]
id = "loft"
name = "Loft"
destination = "heated"
[[source]]
id = "bus"
kind = "modbus"
port = "/dev/serial/by-id/usb-none"
probes = [{ device = "p1", unit_id = 1, temperature = { register = 0 }, humidity = { register = 1 } }]
"""
    (tmp_path / "r.jsonl").write_text('{"t_s": 0, "source": "bus", "topic": "", "bytes_b64": "AQQ="}\n')
    with pytest.raises(RecordingError, match="source bus: found kind 'modbus'; would be right: serial or mqtt"):
        await feed(tmp_path / "r.jsonl", read_config(text))
