"""Real processes to measure: our server, our window, a broker; their time and memory from the kernel."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import httpx

ROOT = Path(__file__).parents[2]
TICKS_PER_S = os.sysconf("SC_CLK_TCK")
CACHE = Path(os.environ.get("STILLSTACK_BENCH") or Path(tempfile.gettempdir()) / "stillstack-bench")
"""Where databases that take long to make are kept between runs."""


def free_port() -> int:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])


def until(condition: Callable[[], object], what: str, within_s: float = 60.0, every_s: float = 0.01) -> None:
    """Wait for a condition of another process; fails by name."""
    end_s = time.monotonic() + within_s
    while not condition():
        if time.monotonic() > end_s:
            raise TimeoutError(f"never came within {within_s:g} s: {what}")
        time.sleep(every_s)


@contextlib.contextmanager
def child(args: list[str], env: dict[str, str] | None = None) -> Iterator[subprocess.Popen[bytes]]:
    """A process that is asked to end at the end of the block, and made to if it does not."""
    process = subprocess.Popen(args, cwd=ROOT, env={**os.environ, **(env or {})}, stderr=subprocess.DEVNULL)
    try:
        yield process
    finally:
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(15)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def cpu_s(pid: int) -> float:
    """Processor time a process has used, its threads included."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICKS_PER_S


def rss_mb(pid: int) -> float:
    """Resident memory, 10^6 bytes."""
    line = next(text for text in Path(f"/proc/{pid}/status").read_text().splitlines() if text.startswith("VmRSS"))
    return int(line.split()[1]) * 1024 / 1e6


@contextlib.contextmanager
def folder() -> Iterator[Path]:
    made = Path(tempfile.mkdtemp(prefix="stillstack-bench-"))
    try:
        yield made
    finally:
        shutil.rmtree(made, ignore_errors=True)


@contextlib.contextmanager
def broker(place: Path) -> Iterator[int]:
    """mosquitto with our own broker's configuration; yields its port."""
    from server.broker_folder import CONFIGURATION, keep_configuration

    port = free_port()
    keep_configuration(place / "broker", port)
    program = shutil.which("mosquitto", path=f"{os.environ.get('PATH', '')}:/usr/sbin") or "mosquitto"
    with child([program, "-c", str(place / "broker" / CONFIGURATION)]):
        until(lambda: _answers(port), "the broker")
        yield port


def _answers(port: int) -> bool:
    with socket.socket() as s:
        return s.connect_ex(("127.0.0.1", port)) == 0


@contextlib.contextmanager
def server(place: Path, config: str) -> Iterator[tuple[int, subprocess.Popen[bytes]]]:
    """``stillstack serve`` on its own configuration and record; yields the door's port and the process."""
    port = free_port()
    (place / "stillstack.toml").write_text(config)
    env = {"STILLSTACK_CONFIG": str(place / "stillstack.toml"), "STILLSTACK_STATE": str(place / "state")}
    with child([sys.executable, "-m", "server", "serve", "--api-port", str(port)], env) as process:
        with httpx.Client() as http:
            until(lambda: _says(http, port), "the door", every_s=0.05)
        yield port, process


def _says(http: httpx.Client, port: int) -> bool:
    with contextlib.suppress(httpx.TransportError):
        return http.get(f"http://127.0.0.1:{port}/api/health").status_code == 200
    return False


def shop_config(broker_port: int, sensors: int, *, number: bool = False) -> str:
    """A shop whose sensors all speak through the broker: ``shop/NAME/air`` as JSON, or one number a topic."""
    tables = [
        '[shop]\nname = "Bench"\ntimezone = "Europe/Oslo"',
        '[[destination]]\nid = "heated"\nname = "heated rooms"\nregion = "most-areas"',
        '[[zone]]\nid = "bench"\nname = "Bench room"\ndestination = "heated"',
        f'[[source]]\nid = "mq"\nkind = "mqtt"\nport = {broker_port}\n'
        + ('topics = ["shop/+/humidity"]\nformat = "number"' if number else 'topics = ["shop/+/air"]'),
        "[screening]\nhumidity_rate_pct_per_min = 100000\ntemperature_rate_c_per_min = 100000",
    ]
    tables += [f'[[sensor]]\nid = "s{n}"\nsource = "mq"\ndevice = "s{n}"\nzone = "bench"' for n in range(sensors)]
    return "\n\n".join(tables) + "\n"
