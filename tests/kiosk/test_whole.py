"""The whole process: ``python -m kiosk`` on a virtual display, touched by a real pointer, and without a display."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.kiosk.fakes import SmallServer, document
from tests.kiosk.stage import load

pytestmark = pytest.mark.whole
ROOT = Path(__file__).parents[2]


@pytest.fixture
def server() -> Iterator[SmallServer]:
    made = SmallServer(document())
    yield made
    made.close()


@pytest.fixture
def display() -> Iterator[str]:
    if not shutil.which("Xvfb") or not shutil.which("xdotool"):
        pytest.skip("needs Xvfb and xdotool (Debian: xvfb xdotool)")
    read, write = os.pipe()
    args = ["Xvfb", "-displayfd", str(write), "-screen", "0", "1280x800x24", "-nolisten", "tcp"]
    process = subprocess.Popen(args, pass_fds=[write], stderr=subprocess.DEVNULL)
    os.close(write)
    with os.fdopen(read) as told:
        number = told.readline().strip()  # said when it is ready
    yield f":{number}"
    process.terminate()
    process.wait(10)


def kiosk(server: str, state: Path, *args: str, display: str | None = None) -> subprocess.Popen[str]:
    env = {k: v for k, v in os.environ.items() if not k.startswith(("KIVY_", "SDL_")) and k != "DISPLAY"}
    env |= {"STILLSTACK_STATE": str(state), "LIBGL_ALWAYS_SOFTWARE": "1", "PYTHONUNBUFFERED": "1"}
    if display:
        env |= {"DISPLAY": display, "SDL_VIDEODRIVER": "x11"}
    command = [sys.executable, "-m", "kiosk", "--server", server, "--dpi", "149", *args]
    return subprocess.Popen(command, cwd=ROOT, env=env, stderr=subprocess.PIPE, text=True)


def until(true: Any, timeout_s: float = 30.0) -> None:
    """Ask again and again: for what another process does, that only shows on a display or a disk."""
    end_s = time.monotonic() + timeout_s
    while not true():
        assert time.monotonic() < end_s, "not in time"
        time.sleep(0.05)


def click(display: str, x: int, y: int) -> None:
    env = {**os.environ, "DISPLAY": display}
    for step in (["mousemove", str(x), str(y)], ["mousedown", "1"], ["sleep", "0.15"], ["mouseup", "1"]):
        subprocess.run(["xdotool", *step], env=env, check=True, timeout=20)


def test_a_touched_alert_is_acknowledged_once(server: SmallServer, display: str, tmp_path: Path) -> None:
    pictures = tmp_path / "pictures"
    process = kiosk(server.url, tmp_path, "--size", "1280x800", "--pictures", str(pictures), display=display)
    try:
        until((pictures / "shop.png").exists)  # a frame with the snapshot in it has been drawn
        click(display, 1080, 230)
        click(display, 244, 547)
        assert server.wait_for(lambda: bool(server.posts), 10)
        until((pictures / "alert.png").exists)
        (path, body), *others = server.posts
        assert path == "/api/alerts/a1f0/acknowledge"
        assert list(body) == ["command_id"]
        assert not others
    finally:
        process.send_signal(signal.SIGTERM)
        began_s = time.monotonic()
        _, said = process.communicate(timeout=20)
    assert process.returncode == 0, said
    assert time.monotonic() - began_s < 3.0  # a second is the aim; the margin is for two busy cores
    assert "Traceback" not in said


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_it_stops_cleanly_even_while_the_server_is_away(tmp_path: Path, number: signal.Signals) -> None:
    pictures = tmp_path / "pictures"
    server = SmallServer(document())
    process = kiosk(server.url, tmp_path, "--pictures", str(pictures))
    until((pictures / "shop.png").exists)
    server.close()
    process.send_signal(number)
    _, said = process.communicate(timeout=20)
    assert process.returncode == 0, said
    assert "Traceback" not in said


def test_snapshots_are_one_of_each_screen(server: SmallServer, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    process = kiosk(server.url, tmp_path, "--size", "800x480", "--snapshots", str(folder))
    _, said = process.communicate(timeout=60)
    assert process.returncode == 0, said
    names = {p.name for p in folder.iterdir()}
    screens = {"shop", "rack", "glue_up", "seasons", "bench_book", "setup"}
    assert names == {f"{name}.png" for name in {*screens, "far", "alert"}}
    shapes = {load(p).shape for p in folder.iterdir()}
    assert shapes == {(480, 800, 3)}
    assert (load(folder / "shop.png") != load(folder / "rack.png")).any()


def test_an_empty_wall_counts_as_complete(tmp_path: Path) -> None:
    server = SmallServer(document("snapshot-empty"))
    process = kiosk(server.url, tmp_path, "--snapshots", str(tmp_path / "out"))
    _, said = process.communicate(timeout=60)
    server.close()
    assert process.returncode == 0, said
    assert (tmp_path / "out" / "far.png").exists()
    assert not (tmp_path / "out" / "alert.png").exists()


def test_snapshots_wait_for_a_closed_half_hour(server: SmallServer, tmp_path: Path) -> None:
    doc = document()
    doc["zones"][1]["closed_bin_end_ms"] = None
    server.offer(doc)
    process = kiosk(server.url, tmp_path, "--snapshots", str(tmp_path / "out"))
    assert server.wait_for(lambda: len(server.queries) >= 2, 30)
    assert process.poll() is None
    server.offer({**document(), "version": "3f9a1c.500"})
    _, said = process.communicate(timeout=60)
    assert process.returncode == 0, said


def test_snapshots_say_which_zone_has_no_closed_half_hour(server: SmallServer, tmp_path: Path) -> None:
    doc = document()
    doc["zones"][1]["closed_bin_end_ms"] = None
    server.offer(doc)
    process = kiosk(server.url, tmp_path, "--snapshots", str(tmp_path / "out"), "--within-s", "2")
    _, said = process.communicate(timeout=60)
    assert process.returncode == 1
    assert "kiosk: --snapshots: no closed half hour yet in: Rack loft" in said
    assert not (tmp_path / "out").exists()


def test_snapshots_without_a_server_fail_and_say_so(tmp_path: Path) -> None:
    process = kiosk("http://127.0.0.1:9", tmp_path, "--snapshots", str(tmp_path / "out"), "--within-s", "1")
    _, said = process.communicate(timeout=60)
    assert process.returncode == 1
    assert "kiosk: --snapshots: no server: http://127.0.0.1:9 does not answer" in said


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["--size", "800"], "found '800'; would be right: WIDTHxHEIGHT in pixels, such as 1280x800"),
        (["--dpi", "many"], "found 'many'; would be right: dots per inch, 30 to 1000"),
    ],
)
def test_wrong_arguments_are_named(tmp_path: Path, args: list[str], says: str) -> None:
    process = kiosk("http://127.0.0.1:9", tmp_path, *args)
    _, said = process.communicate(timeout=30)
    assert process.returncode == 2
    assert says in said


def test_nothing_is_written_outside_the_state_folder(server: SmallServer, tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.mkdir()
    state = tmp_path / "state"
    env = {**os.environ, "HOME": str(home), "STILLSTACK_STATE": str(state)}
    for key in [k for k in env if k.startswith("KIVY_")]:
        del env[key]
    command = [sys.executable, "-m", "kiosk", "--server", server.url, "--snapshots", str(tmp_path / "out")]
    assert subprocess.run(command, cwd=ROOT, env=env, timeout=60, check=False).returncode == 0
    written = [p.relative_to(home) for p in home.rglob("*") if p.is_file() and ".cache" not in p.parts]
    assert written == []
    assert [p.name for p in state.iterdir()] == ["kiosk"]
    assert {p.name for p in (state / "kiosk").iterdir()} == {"fonts"}
