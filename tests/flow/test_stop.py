"""A start is never held up by the broker, and a stop never by a start: always the end, always in order."""

from __future__ import annotations

import asyncio
import importlib.util
import json
import os
import signal
import socket
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import httpx
import pytest

from sensors.mqtt import Publisher
from server import app, broker
from server.app import Settings, serving
from server.broker_folder import STORE
from server.clock import SystemClock
from tests.faults.conftest import ROOT, ServerProcess, processes_of, servers
from tests.flow.conftest import Door, Shop, free_port, until

__all__ = ["servers"]
pytestmark = pytest.mark.whole


async def health(door: Door) -> dict:
    try:
        return (await door.http.get("/api/health")).json()
    except httpx.TransportError:  # nobody there yet
        return {}


async def test_a_damaged_broker_store_leaves_the_door_open_is_told_and_sigterm_ends_it(
    shop: Shop, servers: list[ServerProcess]
):
    (shop.state / "broker").mkdir()
    (shop.state / "broker" / STORE).write_bytes(b"\x07" * 4000)
    server = ServerProcess(shop, shop.text(), free_port())
    servers.append(server)
    server.start()
    async with Door(server.port) as door:
        told = await until(lambda: _told(door, "listening: it could not read what it had kept"), "the broker's word")
        assert f"{STORE}.unreadable-" in told
        async with Publisher("127.0.0.1", shop.broker_port) as devices:
            await until(lambda: _listens(door, "mq"), "the wire to the broker")
            devices.publish("shop/loft-1/air", json.dumps({"temperature": 17.5, "humidity": 55.0}))
            await until(lambda: _has_air(door), "air of the rack loft")
    server.process.send_signal(signal.SIGTERM)
    assert await asyncio.to_thread(server.process.wait, 20) == 0
    assert processes_of(shop.state) == {}


async def test_the_door_opens_with_a_broker_that_never_comes(shop: Shop, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("server.broker_folder.configuration_text", lambda folder, port: "no_such_setting 1\n")
    async with serving(Settings(shop.config(), shop.state, SystemClock())) as port, Door(port) as door:
        assert (await health(door))["broker"].startswith("lost: mosquitto ended with code 3")
        await until(lambda: shop.pty.write_line(b"skipped\n"), "the port read")
        await until(lambda: shop.pty.write_line(b"T=21.0 RH=45.0\n"), "the other wire")
        await until(lambda: _air_of(door, "bench"), "air of the zone without a broker")


async def _told(door: Door, start: str) -> str:
    told = (await health(door)).get("broker") or ""
    return told if told.startswith(start) else ""


async def _listens(door: Door, source: str) -> bool:
    return any(
        s["source"] == source and s["state"] == "listening" for s in (await door.http.get("/api/sources")).json()
    )


async def _has_air(door: Door) -> object:
    return await _air_of(door, "loft")


async def _air_of(door: Door, zone: str) -> object:
    return (await door.zone(zone))["air"]


def test_a_broker_port_that_is_taken_is_refused_with_its_text_before_the_door_opens(shop: Shop):
    with socket.socket() as other:
        other.bind(("127.0.0.1", shop.broker_port))
        other.listen()
        file = shop.folder / "stillstack.toml"
        file.write_text(shop.text())
        done = subprocess.run(
            [sys.executable, "-m", "server", "serve", "--api-port", "0"],
            cwd=ROOT, timeout=60, capture_output=True, text=True,
            env=dict(os.environ, STILLSTACK_STATE=str(shop.state), STILLSTACK_CONFIG=str(file)),
        )  # fmt: skip
    assert done.returncode == 2
    assert f"broker: port {shop.broker_port} on 127.0.0.1 is taken by another program; would be right" in done.stderr
    assert "The door is open" not in done.stderr


HELD = """
import asyncio, sys, threading
from server import app, beside, cli

def in_a_thread(*_args, **_named):
    print("there", flush=True)
    threading.Event().wait()

async def on_the_loop(*_args, **_named):
    print("there", flush=True)
    await asyncio.Event().wait()

stage = sys.argv.pop(1)
owner = {"given_time": app.Broker, "refresh": beside, "restore": beside}.get(stage, app)
setattr(owner, stage, in_a_thread if stage in {"build", "restore"} else on_the_loop)
sys.exit(cli.main(["serve", "--api-port", "0"]))
"""


@pytest.mark.parametrize("stage", ["build", "restore", "refresh", "given_time"])
def test_sigterm_ends_a_start_wherever_it_hangs(shop: Shop, stage: str):
    file = shop.folder / "stillstack.toml"
    file.write_text(shop.text())
    environment = dict(os.environ, STILLSTACK_STATE=str(shop.state), STILLSTACK_CONFIG=str(file))
    command = [sys.executable, "-c", HELD, stage]
    with subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True) as server:
        try:
            assert server.stdout.readline() == "there\n"
            server.send_signal(signal.SIGTERM)
            assert server.wait(30) == 0  # it would hang for ever
        finally:
            server.kill()
    assert not list(shop.state.glob("*-wal")), "the record is closed"
    assert processes_of(shop.state) == {}


@pytest.fixture(scope="module")
def launch() -> ModuleType:
    spec = importlib.util.spec_from_file_location("launch", ROOT / "deploy" / "launch.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules["launch"] = module
    spec.loader.exec_module(module)
    return module


def test_the_stop_of_all_parts_stays_inside_five_seconds_with_room_for_the_server(launch: ModuleType):
    assert launch.STOP_WITHIN_S < 5
    assert launch.SERVER_STOP_S + launch.DISPLAY_STOP_S < launch.STOP_WITHIN_S - 1, "a second for the window"
    assert max(broker.END_WITHIN_S, app.GIVE_UP_BUILDING_S) < launch.SERVER_STOP_S


STUBBORN = """
import pathlib, signal, sys, time
signal.signal(signal.SIGTERM, lambda *_: pathlib.Path(sys.argv[1]).write_text(str(time.monotonic_ns())))
print("deaf", flush=True)
while True:
    time.sleep(600)
"""


async def test_parts_that_will_not_end_are_asked_in_reverse_order_and_killed(
    launch: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capfd: pytest.CaptureFixture[str]
):
    monkeypatch.setattr(launch, "STOP_WITHIN_S", 1.5)
    monkeypatch.setattr(launch, "SERVER_STOP_S", 0.5)
    monkeypatch.setattr(launch, "DISPLAY_STOP_S", 0.5)
    asked = [tmp_path / name for name in ("window", "server", "display")]
    command = [sys.executable, "-c", STUBBORN]
    window, server = (launch.Child(a.name, [*command, str(a)], dict(os.environ)) for a in asked[:2])
    display = launch.Display("800x480")
    display.process = await asyncio.create_subprocess_exec(*command, str(asked[2]))
    processes = [await window.start(), await server.start(), display.process]
    said = ""

    def deaf() -> int:
        nonlocal said
        said += capfd.readouterr().out
        return said.count("deaf") == 3

    await until(deaf, "all three ignoring what they are asked")
    async with asyncio.timeout(60):  # they would go on for ever
        await launch._stop(window, server, display)
    assert [process.returncode for process in processes] == [-signal.SIGKILL] * 3
    moments = [int(await asyncio.to_thread(path.read_text)) for path in asked]
    assert moments == sorted(moments)
    assert [line.split(" did")[0] for line in capfd.readouterr().err.splitlines()] == [
        "The window", "The server", "The virtual display",
    ]  # fmt: skip


async def test_sigterm_while_the_demo_still_lays_down_its_past_leaves_nothing(tmp_path: Path):
    state = tmp_path / "state"
    environment = {"PATH": "/usr/sbin:/usr/bin:/sbin:/bin", "HOME": str(tmp_path), "STILLSTACK_STATE": str(state)}
    launcher = await asyncio.create_subprocess_exec(
        sys.executable, ROOT / "deploy" / "launch.py", "--demo", env=environment, stdout=asyncio.subprocess.PIPE
    )
    try:
        await until((state / "record.sqlite").exists, "the record begun", 60)
        launcher.terminate()
        async with asyncio.timeout(30):
            said, _ = await launcher.communicate()
    finally:
        if launcher.returncode is None:
            launcher.kill()
    assert launcher.returncode == 0
    assert said.decode().rstrip().endswith("Stopped.")
    assert processes_of(state) == {}
