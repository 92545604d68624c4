"""Looking before a start: a line a thing, MEND says how."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest

from server.preflight import preflight
from server.stores.folder_lock import FolderLock
from tests.flow.conftest import config_text, free_port


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
