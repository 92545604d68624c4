"""Real processes that get killed."""

from __future__ import annotations

import asyncio
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.flow.conftest import Shop, shop

__all__ = ["ServerProcess", "processes_of", "shop"]

ROOT = Path(__file__).resolve().parents[2]


def processes_of(state: Path) -> dict[int, str]:
    """Every process whose environment names this state folder: pid to command line. What a stop must leave empty."""
    found = {}
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            environment = (folder / "environ").read_bytes().split(b"\0")
            if f"STILLSTACK_STATE={state}".encode() in environment:
                found[int(folder.name)] = (folder / "cmdline").read_bytes().replace(b"\0", b" ").decode().strip()
        except (OSError, ValueError):  # ended meanwhile
            continue
    return {pid: line for pid, line in found.items() if line}


class ServerProcess:
    """``stillstack serve`` as a process of its own, to be killed and started again."""

    def __init__(self, shop: Shop, text: str, port: int) -> None:
        self.file = shop.folder / "stillstack.toml"
        self.file.write_text(text)
        self.environment = dict(os.environ, STILLSTACK_STATE=str(shop.state), STILLSTACK_CONFIG=str(self.file))
        self.port = port
        self.process: subprocess.Popen[bytes] | None = None

    def start(self, *more: str) -> None:
        command = [sys.executable, "-m", "server", "serve", "--api-port", str(self.port), *more]
        self.process = subprocess.Popen(command, cwd=ROOT, env=self.environment)

    def kill(self) -> None:
        assert self.process is not None
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(10)

    async def stop(self) -> int:
        """Ask it to end; its exit code."""
        assert self.process is not None
        self.process.send_signal(signal.SIGTERM)
        return await asyncio.to_thread(self.process.wait, 5)


@pytest.fixture
def servers() -> Iterator[list[ServerProcess]]:
    """Whatever a test appends is gone at its end, however it ends."""
    made: list[ServerProcess] = []
    yield made
    for one in made:
        if one.process is not None and one.process.poll() is None:
            one.kill()
