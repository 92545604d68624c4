"""The command as a person types it: refusals in words and with code 2, never with a traceback."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from server.cli import main, state_folder
from server.stores.folder_lock import FolderLock
from server.wood.emc import emc_pct
from tests.flow.conftest import free_port, until

ROOT = Path(__file__).resolve().parents[2]
SHOP = "[api]\nport = {port}\n"


class Shell:
    """A folder to start from."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.file = folder / "stillstack.toml"
        self.state = folder / "state"
        self.environment = {
            **os.environ, "PYTHONPATH": str(ROOT), "STILLSTACK_STATE": str(self.state),
            "STILLSTACK_CONFIG": str(self.file),
        }  # fmt: skip

    def start(self, *arguments: str) -> subprocess.Popen[str]:
        command = [sys.executable, "-m", "server", *arguments]
        pipe = subprocess.PIPE
        return subprocess.Popen(command, cwd=self.folder, env=self.environment, stdout=pipe, stderr=pipe, text=True)

    def run(self, *arguments: str) -> tuple[int, str, str]:
        process = self.start(*arguments)
        out, err = process.communicate(timeout=30)
        assert "Traceback" not in err, err
        return process.returncode, out, err


@pytest.fixture
def shell(tmp_path: Path) -> Shell:
    return Shell(tmp_path)


@pytest.fixture
def taken() -> Iterator[int]:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        yield int(other.getsockname()[1])


@pytest.mark.whole
def test_mistakes_in_the_file_are_listed_and_nothing_is_started(shell: Shell):
    shell.file.write_text('[shop]\ntimezone = "Oslo"\n\n[[zone]]\nid = "bench"\nname = "Bench"\ndestination = "x"\n')
    code, out, err = shell.run("serve")
    assert (code, out) == (2, "")
    assert err.splitlines() == [
        "stillstack.toml:2: shop.timezone: found 'Oslo'; would be right: "
        "an IANA time zone name such as Europe/Oslo or America/New_York",
        "stillstack.toml:7: zone[0].destination: found 'x'; would be right: a [[destination]] with that id",
    ]
    assert not shell.state.exists()


@pytest.mark.whole
def test_a_record_that_another_process_holds(shell: Shell):
    shell.file.write_text(SHOP.format(port=0))
    lock = FolderLock(shell.state)
    code, _, err = shell.run("serve")
    lock.release()
    assert (code, err) == (
        2,
        f"state folder {shell.state}: process {os.getpid()} holds it; would be right: stop that one, or use another "
        "folder\n",
    )


@pytest.mark.whole
def test_a_folder_that_cannot_be_one(shell: Shell):
    shell.file.write_text(SHOP.format(port=0))
    shell.state.write_text("a file")
    code, _, err = shell.run("serve")
    assert (code, err) == (
        2, f"state folder {shell.state}: File exists; would be right: a folder we may write in\n",
    )  # fmt: skip


@pytest.mark.whole
def test_a_port_that_another_program_holds(shell: Shell, taken: int):
    shell.file.write_text(SHOP.format(port=0))
    code, _, err = shell.run("serve", "--api-port", str(taken))
    assert code == 2
    assert err == (
        f"api.port: found {taken}, which another program holds; would be right: stop that program, or name a free "
        "port in [api]\n"
    )


@pytest.mark.whole
async def test_a_first_start_writes_the_example_serves_the_empty_wall_and_ends_well(shell: Shell):
    port = free_port()
    process = shell.start("serve", "--api-port", str(port))
    try:

        def answers() -> bool:
            assert process.poll() is None, process.communicate()
            with socket.socket() as probe:
                return probe.connect_ex(("127.0.0.1", port)) == 0

        await until(answers, "the door")
        assert shell.file.read_text(encoding="utf-8").startswith("# Stillstack")
        process.send_signal(signal.SIGTERM)
        _, err = process.communicate(timeout=5)
    finally:
        process.kill()
    assert process.returncode == 0
    assert f"The door is open at http://127.0.0.1:{port}" in err


@pytest.mark.whole
def test_a_question_of_the_bench_book_is_answered_with_one_json_document(shell: Shell):
    code, out, err = shell.run("book", "emc", "--temperature-c", "20", "--humidity-pct", "45", "--json")
    assert (code, err) == (0, "")
    assert len(out.splitlines()) == 1
    # The figure itself is held to the published table in tests/wood; here it is to come through unrounded.
    assert json.loads(out)["emc_pct"] == float(emc_pct(20.0, 0.45))


@pytest.mark.whole
def test_the_module_itself_is_the_command_too(shell: Shell):
    command = [sys.executable, "-m", "server.cli", "preflight", "--api-port"]
    shell.file.write_text(SHOP.format(port=8123))
    done = subprocess.run(
        command, cwd=shell.folder, env=shell.environment, capture_output=True, text=True, timeout=30, check=False
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "8123\n", "")


def test_help_lists_every_command(capsys: pytest.CaptureFixture[str]):
    with pytest.raises(SystemExit) as ended:
        main(["--help"])
    assert ended.value.code == 0
    out = capsys.readouterr().out
    assert out.startswith("usage: stillstack")
    listed = [line.split()[0] for line in out.splitlines() if line.startswith("    ") and not line.startswith("     ")]
    assert sorted(listed) == ["book", "demo", "feed", "kiosk", "preflight", "serve", "store"]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ([], "the following arguments are required: COMMAND"),
        (["sevre"], "invalid choice: 'sevre'"),
        (["serve", "--api-port", "70000"], "argument --api-port: found 70000; would be right: 0 to 65535"),
        (["serve", "--api-port", "door"], "argument --api-port: found door; would be right: 0 to 65535"),
        (["demo", "--speed", "0"], "argument --speed: found 0; would be right: 1 to 3600"),
        (["demo", "--speed", "nan"], "argument --speed: found nan; would be right: 1 to 3600"),
        (["preflight", "--listen", "--seconds", "0"], "argument --seconds: found 0; would be right: 1 to 3600"),
        (
            ["preflight", "--listen", "--broker", "h:0"],
            "argument --broker: found h:0; would be right: HOST or HOST:PORT",
        ),
        (
            ["preflight", "--listen", "--broker", "::1"],
            "argument --broker: found ::1; would be right: HOST or HOST:PORT",
        ),
        (["demo", "--speed", "fast"], "argument --speed: found fast; would be right: 1 to 3600"),
    ],
)
def test_what_cannot_be_is_refused(given: list[str], said: str, capsys: pytest.CaptureFixture[str]):
    with pytest.raises(SystemExit) as ended:
        main(given)
    assert ended.value.code == 2
    assert said in capsys.readouterr().err


def test_preflight_looks_at_the_folder_that_serve_would_use(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    monkeypatch.setenv("STILLSTACK_CONFIG", str(tmp_path / "stillstack.toml"))
    monkeypatch.setenv("STILLSTACK_STATE", str(tmp_path / "here"))
    (tmp_path / "stillstack.toml").write_text(SHOP.format(port=0))
    assert main(["preflight"]) == 0
    assert f"fine  the record's folder {tmp_path / 'here'} is ours to write in" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("given", "asked"),
    [
        ([], (10.0, None)),
        (["--seconds", "60", "--broker", "shop-broker"], (60.0, ("shop-broker", None))),
        (["--broker", "[::1]:1884"], (10.0, ("::1", 1884))),
    ],
)
def test_preflight_may_listen(given: list[str], asked: tuple[object, ...], monkeypatch: pytest.MonkeyPatch):
    heard: list[tuple[object, ...]] = []
    monkeypatch.setattr("server.preflight_listen.preflight_listen", lambda *asked: heard.append(asked) or 0)
    assert main(["preflight", "--listen", *given]) == 0
    assert heard == [(state_folder(), *asked)]


def test_the_window_is_a_program_of_its_own(monkeypatch: pytest.MonkeyPatch):
    called: list[tuple[str, list[str]]] = []
    monkeypatch.setattr(os, "execv", lambda program, arguments: called.append((program, arguments)))
    with pytest.raises(SystemExit):  # execv does not come back; here it does
        main(["kiosk", "--help"])
    assert called == [(sys.executable, [sys.executable, "-m", "kiosk", "--help"])]


def test_where_the_record_lies(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("STILLSTACK_STATE", raising=False)
    assert state_folder() == tmp_path / "state"
    assert state_folder(demo=True) == tmp_path / "state" / "demo"
    monkeypatch.setenv("STILLSTACK_STATE", "/elsewhere")
    assert state_folder() == state_folder(demo=True) == Path("/elsewhere")
    assert list(tmp_path.iterdir()) == []
