"""The real mosquitto as our child."""

import asyncio
import os
import signal
import socket
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from server.broker import Broker, BrokerError
from server.broker_folder import configuration_text
from server.clock import ManualClock
from tests.unit.sensors.helpers import free_port, until


async def test_it_listens_is_started_again_when_it_dies_and_ends_with_us(tmp_path: Path) -> None:
    broker = Broker(tmp_path / "broker", free_port(), ManualClock(5))
    task = asyncio.create_task(broker.run())
    await asyncio.wait_for(broker.ready.wait(), 10)
    first = broker.status.pid
    assert (broker.status.state, broker.status.since_ms) == ("listening", 5)
    assert first is not None
    os.kill(first, signal.SIGKILL)
    await until(lambda: broker.status.restarts == 1 and broker.ready.is_set())
    second = broker.status.pid
    assert second != first
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task
    assert broker.status.state == "stopped"
    assert not Path(f"/proc/{second}").exists()  # noqa: ASYNC240


async def test_one_that_does_not_end_is_killed(tmp_path: Path) -> None:
    broker = Broker(tmp_path, free_port())
    task = asyncio.create_task(broker.run())
    await asyncio.wait_for(broker.ready.wait(), 10)
    pid = broker.status.pid
    assert pid is not None
    os.kill(pid, signal.SIGSTOP)
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await asyncio.wait_for(task, 5)
    assert broker.status.pid is None
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


async def test_a_taken_port_is_named(tmp_path: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(BrokerError, match=rf"port {port} on 127.0.0.1 is taken by another program; would be right"):
            await Broker(tmp_path, port).run()


async def test_a_missing_program_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("server.broker.shutil.which", lambda name, path: None)
    with pytest.raises(BrokerError, match="found no mosquitto; would be right: apt install mosquitto"):
        await Broker(tmp_path, free_port()).run()


async def test_a_folder_that_cannot_be_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(BrokerError, match=r"file/mosquitto.conf: .*; would be right: a folder we may write"):
        await Broker(tmp_path / "file", free_port()).run()


async def test_a_child_that_dies_at_once_is_told_with_its_last_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("server.broker_folder.configuration_text", lambda folder, port: "no_such_setting 1\n")
    broker = Broker(tmp_path, free_port())
    task = asyncio.create_task(broker.run())
    await until(lambda: broker.status.restarts)
    assert broker.status.state == "lost"
    assert "mosquitto ended with code" in broker.status.last_error
    assert "no_such_setting" in broker.status.last_error or "mosquitto.conf" in broker.status.last_error
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task


def test_a_child_does_not_outlive_a_killed_parent(tmp_path: Path) -> None:
    code = f"""
        import asyncio
        from pathlib import Path
        from server.broker import Broker

        async def main():
            broker = Broker(Path({str(tmp_path)!r}), {free_port()})
            task = asyncio.create_task(broker.run())
            await broker.ready.wait()
            print(broker.status.pid, flush=True)
            await task

        asyncio.run(main())
    """
    with subprocess.Popen([sys.executable, "-c", textwrap.dedent(code)], stdout=subprocess.PIPE, cwd=Path.cwd()) as us:
        assert us.stdout is not None
        pid = int(us.stdout.readline())
        us.kill()
    asyncio.run(until(lambda: _gone(pid), what="the broker's end"))


def _gone(pid: int) -> bool:
    """No such process, or one that only waits to be collected (where nobody collects orphans)."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except OSError:
        return True


def test_nothing_is_dropped_by_count_and_nobody_outside_gets_in(tmp_path: Path) -> None:
    text = configuration_text(tmp_path, 1999).splitlines()
    assert {"listener 1999 127.0.0.1", "max_queued_messages 0", "persistence true"} <= set(text)
    assert not [line for line in text if "#" in line.partition("persistence_location")[0]]
