"""deploy/run as a user starts it: the demo's pictures, the order of its stop, and what dies on the way coming back."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from server.app import Settings, build
from server.clock import ScaledClock
from server.demo.past import past_samples
from server.demo.play import demo_config
from server.demo.scenario import FIRST_START_MS
from tests.faults.conftest import ROOT, processes_of

pytestmark = [pytest.mark.whole, pytest.mark.timeout(180)]
PATH = "/usr/sbin:/usr/bin:/sbin:/bin"
SCREENS = ("shop", "rack", "glue_up", "seasons", "bench_book", "setup", "far")


class Running:
    """A deploy/run of the demo without a display."""

    def __init__(self, state: Path, *options: str) -> None:
        self.state = state
        self.out = (state.parent / "out.txt").open("w+")
        environment = {"PATH": PATH, "HOME": str(state.parent), "STILLSTACK_STATE": str(state)}
        command = [ROOT / "deploy" / "run", "--demo", *options]
        self.process = subprocess.Popen(command, env=environment, stdout=self.out, stderr=subprocess.STDOUT)

    def said(self) -> str:
        self.out.seek(0)
        return self.out.read()

    def pid_of(self, part: str) -> int | None:
        return next((pid for pid, line in processes_of(self.state).items() if part in line), None)

    def await_(self, condition, what: str, within_s: float = 40.0):
        end = time.monotonic() + within_s
        while not (found := condition()):
            assert time.monotonic() < end, f"never came: {what}\n{self.said()}"
            assert self.process.poll() is None, f"ended: {self.said()}"
            time.sleep(0.05)
        return found

    def snapshot(self) -> dict | None:
        """The newest document, if the door answers. Its port is on the server's own command line."""
        line = next((line for line in processes_of(self.state).values() if "-m server demo" in line), "")
        if "--api-port" not in line:
            return None
        port = line.split("--api-port")[1].split()[0]
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/api/snapshot", timeout=2) as reply:
                return json.load(reply)
        except OSError:
            return None


@pytest.fixture
async def state(tmp_path: Path) -> Path:
    """A demo that began three days before its first start instead of fourteen months: the same, sooner."""
    folder = tmp_path / "state"
    folder.mkdir()
    config = demo_config(0, 1, "/dev/serial/by-id/none", "/dev/serial/by-id/none-2")
    spine = build(Settings(config, folder, ScaledClock(FIRST_START_MS)))
    from_ms = FIRST_START_MS - round(timedelta(days=3).total_seconds() * 1000)
    for batch in past_samples(from_ms, FIRST_START_MS):
        await spine.engine.lay_down(batch)
    await spine.store.close()
    return folder


@pytest.fixture
def run(state: Path) -> Iterator[Running]:
    running = Running(state)
    yield running
    if running.process.poll() is None:
        running.process.kill()
    running.process.wait(10)
    for pid in processes_of(state):
        os.kill(pid, signal.SIGKILL)
    running.out.close()


def heard_after(t_ms: int, snapshot: dict | None) -> int | None:
    """When a zone was last heard, if that is later than ``t_ms``."""
    heard = [zone["heard_ms"] or 0 for zone in (snapshot or {"zones": []})["zones"]]
    return max((ms for ms in heard if ms > t_ms), default=None)


def test_the_demo_runs_what_dies_comes_back_and_ctrl_c_leaves_nothing(run: Running):
    first = run.await_(run.snapshot, "the door")
    assert first["shop"]["now_text"].startswith("Tue 12 Jan · 7:")
    assert [z["name"] for z in first["zones"]] == ["Bench room", "Rack loft", "Finishing room", "Yard"]
    picture = run.state / "pictures" / "shop.png"
    run.await_(picture.exists, "a picture of the window")
    assert str(picture.parent) in run.said()

    window = run.await_(lambda: run.pid_of("-m kiosk"), "the window")
    os.kill(window, signal.SIGKILL)
    again = run.await_(lambda: (found := run.pid_of("-m kiosk")) != window and found, "the window again")
    assert "--restarted" in processes_of(run.state)[again]
    assert run.snapshot()["version"].split(".")[0] == first["version"].split(".")[0], "the server did not notice"

    # The clock goes on where the record ends, so there must be something in it of this life.
    heard_ms = run.await_(lambda: heard_after(first["now_ms"], run.snapshot()), "a sensor's word in the record")
    server = run.pid_of("-m server demo")
    os.kill(server, signal.SIGKILL)
    later = run.await_(
        lambda: (
            (found := run.snapshot()) and found["version"].split(".")[0] != first["version"].split(".")[0] and found
        ),
        "the server again",
    )
    assert "server-restarted" in [n["key"] for n in later["notices"]]
    assert later["now_ms"] > heard_ms
    assert run.pid_of("-m kiosk") == again, "the window waited for it"

    run.process.send_signal(signal.SIGINT)
    assert run.process.wait(5) == 0
    assert processes_of(run.state) == {}
    assert run.said().rstrip().endswith("Stopped.")


def test_snapshots_of_every_screen_then_the_end(state: Path, tmp_path: Path):
    running = Running(state, "--snapshots", str(tmp_path / "shots"))
    assert running.process.wait(100) == 0, running.said()
    assert {f.stem for f in (tmp_path / "shots").glob("*.png")} >= set(SCREENS)
    assert all(f.stat().st_size > 10_000 for f in (tmp_path / "shots").glob("*.png"))
    assert processes_of(state) == {}
    running.out.close()


@pytest.mark.parametrize("options", [["--speed", "5"], ["--demo", "--speed", "0"], ["--demo", "--speed", "9999"]])
def test_a_speed_that_cannot_be_is_refused(options: list[str], tmp_path: Path):
    done = subprocess.run([ROOT / "deploy" / "run", *options], capture_output=True, text=True, timeout=30)
    assert done.returncode == 2
    assert "--speed: found" in done.stderr
    assert "would be right" in done.stderr


def test_a_second_demo_on_the_same_state_is_refused_and_leaves_the_first_its_wires(run: Running):
    run.await_(run.snapshot, "the door")
    link = next((run.state / "wires").iterdir())
    second = Running(run.state)
    assert second.process.wait(30) == 2
    second.out.close()
    assert link.is_symlink()
    assert run.snapshot() is not None
    assert run.process.poll() is None
