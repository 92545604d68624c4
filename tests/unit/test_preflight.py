"""Looking before a start: a line a thing, MEND says how."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable, Iterator
from pathlib import Path
from textwrap import dedent
from threading import Event, Thread

import pytest

from sensors.mqtt import Publisher
from sensors.simulated import PtyPair
from server.clock import ManualClock
from server.preflight import preflight
from server.preflight_listen import preflight_listen
from server.reading import Made
from server.stores.catalog import open_store
from server.stores.folder_lock import FolderLock
from tests.flow.conftest import config_text, free_port
from tests.flow.conftest import read_config as configured
from tests.unit.sensors.helpers import a_broker


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("STILLSTACK_CONFIG", str(tmp_path / "stillstack.toml"))
    return tmp_path / "stillstack.toml"


def shop(serial_port: str, *, api_port: int, broker: bool = True) -> str:
    return config_text(serial_port, free_port(), broker=broker).replace("[api]\nport = 0", f"[api]\nport = {api_port}")


def said(capsys: pytest.CaptureFixture[str]) -> list[tuple[str, str]]:
    out, err = capsys.readouterr()
    assert err == ""
    return [(line[:4], line[6:]) for line in out.splitlines()]


def test_all_is_well(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    port = free_port()
    file.write_text(shop("/dev/null", api_port=port))  # any device that may be opened
    assert preflight(tmp_path / "state") == 0
    lines = said(capsys)
    assert {word for word, _ in lines} == {"fine"}
    texts = [text for _, text in lines]
    assert texts[0] == f"{file}: 2 zones, 2 sources, 2 sensors"
    assert f"the record's folder {tmp_path / 'state'} is ours to write in" in texts
    assert f"the door's port {port} on 127.0.0.1 is free" in texts
    assert "serial port /dev/null is there and may be opened" in texts
    assert any(text.startswith("the private broker: /") for text in texts)


def test_what_must_be_mended_is_said_with_how(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        file.write_text(shop(f"{tmp_path}/by-id/usb-none", api_port=port, broker=False))
        lock = FolderLock(tmp_path / "state")
        assert preflight(tmp_path / "state") == 1
        lock.release()
    mend = [text for word, text in said(capsys) if word == "MEND"]
    assert len(mend) == 3
    assert mend[0].startswith(f"state folder {tmp_path}/state: process ")
    assert mend[0].endswith("holds it; would be right: stop that one, or use another folder")
    assert mend[1] == f"the door's port {port} is taken; stop that program, or name a free port in [api]"
    assert mend[2].startswith(f"serial port {tmp_path}/by-id/usb-none is not there; plug it in, or name one of ")


def test_a_broker_that_is_not_installed(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    file.write_text(shop("/dev/null", api_port=0))
    monkeypatch.setattr("server.preflight.shutil.which", lambda *_, **__: None)
    assert preflight(tmp_path / "state") == 1
    assert [text for word, text in said(capsys) if word == "MEND"] == [
        "the private broker: mosquitto is not there; apt-get install mosquitto"
    ]


def test_a_first_look_writes_the_example_and_says_what_is_next(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    preflight(tmp_path / "state")
    assert file.exists()
    assert ("fine", "no sensor yet: the wall will say how to add the first one") in said(capsys)


def test_the_port_alone(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file.write_text("[api]\nport = 8123\n")
    assert preflight(tmp_path / "state", only_port=True) == 0
    assert capsys.readouterr().out == "8123\n"
    assert not (tmp_path / "state").exists(), "asking leaves no trace"


@pytest.mark.parametrize("only_port", [False, True])
def test_mistakes_go_to_standard_error(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], only_port: bool):
    file.write_text("[api]\nport = 70000\n[shopp]\n")
    assert preflight(tmp_path / "state", only_port=only_port) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert sorted(line.split(": found")[0] for line in err.splitlines()) == [
        "stillstack.toml:2: api.port", "stillstack.toml:3: shopp",
    ]  # fmt: skip


@pytest.fixture
def adapter(tmp_path: Path) -> Iterator[PtyPair]:
    """An adapter under a lasting name, with a device behind it that talks."""
    pair = PtyPair(tmp_path / "serial" / "by-id", "usb-fictional-1")
    over = Event()

    def talk() -> None:
        while not over.wait(0.02):
            pair.write_line(b"T=68.4 RH=41.2\r\n")

    talker = Thread(target=talk)
    talker.start()
    yield pair
    over.set()
    talker.join()
    pair.close()


def test_listening_says_what_is_heard_and_what_would_read_it(
    file: Path, tmp_path: Path, adapter: PtyPair, capsys: pytest.CaptureFixture[str]
):
    assert preflight_listen(tmp_path / "state", 20.0, folder=tmp_path / "serial") == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert f"\n{adapter.port}\n" in out
    assert "lines came, at 9600 baud" in out
    assert "    T=68.4 RH=41.2\n" in out
    assert "The temperature stands at T, taken to be in °F: 68.4 is then 20.2 °C" in out
    assert "Modbus devices speak only when they are asked" in out
    proposed = out.partition("in the configuration:\n")[2].partition("\n\nOpening")[0]
    config = configured(file.read_text() + "\n" + dedent(proposed))
    assert config.sources[0].port == adapter.port
    assert config.sources[0].temperature_unit == "F"


def test_a_port_that_a_running_server_reads_is_left_to_it(
    file: Path, tmp_path: Path, adapter: PtyPair, capsys: pytest.CaptureFixture[str]
):
    file.write_text(config_text(adapter.port, free_port(), broker=False))
    lock = FolderLock(tmp_path / "state")
    assert preflight_listen(tmp_path / "state", 1.0, folder=tmp_path / "serial") == 0
    lock.release()
    out = capsys.readouterr().out
    assert f"{adapter.port}\n  line reads this port already, so it was not opened a second time.\n" in out
    assert "cannot connect" in out, "the configured broker was asked too, and is not there"


async def test_listening_to_a_broker_that_is_named(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    async with a_broker(tmp_path / "b") as broker, Publisher("127.0.0.1", broker.port) as publisher:
        publisher.publish("shop/loft/air", b'{"temperature": 20.4, "humidity": 41}', retain=True)
        publisher.publish("shop/loft/state", b"on\x1b", retain=True)
        await publisher.flushed()
        code = await asyncio.to_thread(
            preflight_listen, tmp_path / "state", 1.0, ("127.0.0.1", broker.port), folder=tmp_path / "serial"
        )
    out = capsys.readouterr().out
    assert code == 0
    assert "  2 messages came, on 2 topics.\n" in out
    assert "    shop/loft/state: on\\u001b\n      Neither JSON nor a number.\n" in out
    assert 'topics = ["shop/loft/air"]' in out
    assert f"port = {broker.port}" in out
    assert "No serial port is plugged in." in out


def test_listening_with_a_file_that_has_mistakes(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file.write_text("[shopp]\n")
    assert preflight_listen(tmp_path / "state", 1.0, folder=tmp_path) == 1
    assert "stillstack.toml:1: shopp" in capsys.readouterr().err


async def make_a_zone(state: Path) -> None:
    store, _ = open_store(state, "UTC", ManualClock(1_799_755_200_000))
    made = Made("zone", "bench", {"id": "bench", "name": "Bench room", "destination": "heated"}, 1_799_755_200_000)
    await store.change_made(("c1", {}), made=[made])
    await store.close()


@pytest.mark.parametrize("look", [preflight, lambda state: preflight_listen(state, 1.0, folder=state)])
def test_what_was_made_at_the_wall_is_looked_at_too(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], look: Callable[[Path], int]
):
    asyncio.run(make_a_zone(tmp_path / "state"))
    file.write_text(config_text("/dev/null", free_port(), broker=False))
    assert look(tmp_path / "state") == 1
    err = capsys.readouterr().err
    assert "zone[0].id: found 'bench', which a zone made at the wall on 2027-01-12 has too; " in err
