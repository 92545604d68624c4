"""A whole shop in a temporary folder: real pseudo-terminal, real broker, real record, real HTTP."""

from __future__ import annotations

import asyncio
import json
import socket
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx
import pytest

from sensors.catalog import SOURCE_KINDS
from sensors.simulated import PtyPair
from server.config import Config
from server.config_file import Reader
from server.rules.catalog import SCHEMAS

DEADLINE_S = 20.0


def free_port() -> int:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])


async def until(condition: Callable[[], Any], what: str, within_s: float = DEADLINE_S) -> Any:
    """Await a condition (a plain or an async function giving something true); fail by name when it never holds."""
    end = time.monotonic() + within_s
    while True:
        found = condition()
        if asyncio.iscoroutine(found):
            found = await found
        if found:
            return found
        assert time.monotonic() < end, f"never came: {what}"
        await asyncio.sleep(0.02)


def config_text(serial_port: str, broker_port: int, *, broker: bool, rules: str = "") -> str:
    return f"""
[shop]
name = "Test shop"
timezone = "Europe/Oslo"
[api]
port = 0
[broker]
enabled = {str(broker).lower()}
port = {broker_port}
[[destination]]
id = "heated"
name = "heated rooms"
region = "most-areas"
[[zone]]
id = "bench"
name = "Bench room"
destination = "heated"
[[zone]]
id = "loft"
name = "Rack loft"
destination = "heated"
[[source]]
id = "line"
kind = "serial"
port = "{serial_port}"
settle_s = 0.0
[[source]]
id = "mq"
kind = "mqtt"
host = "127.0.0.1"
port = {broker_port}
topics = ["shop/+/air"]
[[sensor]]
id = "bench-1"
source = "line"
zone = "bench"
[[sensor]]
id = "loft-1"
source = "mq"
device = "loft-1"
zone = "loft"
[screening]
humidity_rate_pct_per_min = 100000
temperature_rate_c_per_min = 100000
{rules}
"""


def read_config(text: str) -> Config:
    schemas = {name: kind.schema for name, kind in SOURCE_KINDS.items()}
    return Reader(text, "stillstack.toml", schemas, SCHEMAS).read()


class Shop:
    """What the tests hold in their hands."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.state = folder / "state"
        self.state.mkdir()
        self.broker_port = free_port()
        self.pty = PtyPair(folder / "by-id", "usb-test")

    def config(self, *, broker: bool = True, rules: str = "") -> Config:
        return read_config(self.text(broker=broker, rules=rules))

    def text(self, *, broker: bool = True, rules: str = "") -> str:
        return config_text(self.pty.port, self.broker_port, broker=broker, rules=rules)


@pytest.fixture
def shop(tmp_path: Path):
    made = Shop(tmp_path)
    yield made
    made.pty.close()


class Door:
    """A client of the running server."""

    def __init__(self, port: int) -> None:
        self.http = httpx.AsyncClient(base_url=f"http://127.0.0.1:{port}", timeout=30.0)

    async def __aenter__(self) -> Door:
        return self

    async def __aexit__(self, *_: object) -> None:
        await self.http.aclose()

    async def snapshot(self, **query: Any) -> dict[str, Any]:
        reply = await self.http.get("/api/snapshot", params=query)
        assert reply.status_code == 200, reply.text
        return json.loads(reply.content)

    async def zone(self, zone: str) -> dict[str, Any]:
        return next(z for z in (await self.snapshot())["zones"] if z["id"] == zone)

    async def post(self, path: str, body: dict[str, Any]) -> httpx.Response:
        return await self.http.post(path, json=body)
