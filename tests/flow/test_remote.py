"""A line on a serial wire is a point at the remote; a remote that hangs holds up neither the wall nor the stop."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Iterator
from functools import partial

import pytest

from server.app import Settings, serving
from server.clock import SystemClock
from server.stores.forward import Pace
from server.stores.sqlite_history import SqliteHistory
from tests.faults.copying import local
from tests.flow.conftest import Door, Shop, read_config, until
from tests.remotes import FakeServer

REMOTE = """
[[remote]]
id = "copy"
url = "{url}"
bucket = "shop"
"""


@pytest.fixture
def remote(monkeypatch: pytest.MonkeyPatch) -> Iterator[FakeServer]:
    monkeypatch.setattr("server.remotes.Pace", partial(Pace, gather_s=0.0))
    made = FakeServer()
    yield made
    made.close()


def settings(shop: Shop, remote: FakeServer) -> Settings:
    text = shop.text(broker=False) + REMOTE.format(url=remote.url)
    return Settings(read_config(text), shop.state, SystemClock())


async def heard(shop: Shop, door: Door) -> None:
    await until(lambda: shop.pty.write_line(b"T=20.0 RH=40.0\n"), "the port read")
    await until(lambda: has_air(shop, door), "air in the bench room")


async def has_air(shop: Shop, door: Door) -> bool:
    shop.pty.write_line(b"T=20.0 RH=40.0\n")
    return bool((await door.zone("bench"))["air"])


async def test_a_line_on_a_wire_is_a_point_at_the_remote(shop: Shop, remote: FakeServer):
    async with serving(settings(shop, remote)) as port, Door(port) as door:
        await heard(shop, door)
        series = {
            "bench-1/temperature_c",
            "bench-1/humidity_pct",
            "zone:bench/emc_pct",
            "zone:bench/vapour_pressure_pa",
        }
        await until(lambda: series <= {name for name, _ in remote.rows}, "sensor and zone at the remote")
        (state,) = (await door.http.get("/api/remotes")).json()
        assert (state["remote"], state["error"]) == ("copy", "")
        await until(lambda: remote.rows == local(shop.state), "all of it")


async def test_a_remote_that_hangs_holds_up_nothing(shop: Shop, remote: FakeServer):
    """Field pitfalls 1 and 28: the wall goes on, the stop takes its usual time, the rows go after the next start."""
    asked, go_on = threading.Event(), threading.Event()

    def hangs(_: list[str]) -> None:
        asked.set()
        go_on.wait(60)

    remote.judge = hangs
    loop = asyncio.get_running_loop()
    try:
        async with serving(settings(shop, remote)) as port, Door(port) as door:
            await heard(shop, door)
            await until(asked.is_set, "the remote asked")
            shop.pty.write_line(b"T=21.0 RH=40.0\n")
            latest = partial(SqliteHistory(shop.state / "record.sqlite").latest, "bench-1/temperature_c")
            await until(lambda: latest().value == 21.0, "the next line")
            began_s = loop.time()
        assert loop.time() - began_s < 5.0
    finally:
        go_on.set()
    remote.judge = lambda _: None
    remote.rows.clear()
    async with serving(settings(shop, remote)):
        await until(lambda: remote.rows == local(shop.state), "everything, after the next start")
