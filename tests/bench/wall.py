"""The window under a virtual display, telling when its number was drawn."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from tests.bench.processes import child, until


@contextlib.contextmanager
def display() -> Iterator[str]:
    """Xvfb with one screen of 1280×800; yields its name."""
    read, write = os.pipe()
    args = ["Xvfb", "-displayfd", str(write), "-screen", "0", "1280x800x24", "-nolisten", "tcp"]
    process = subprocess.Popen(args, pass_fds=[write], stderr=subprocess.DEVNULL)
    os.close(write)
    with os.fdopen(read) as told:
        number = told.readline().strip()
    try:
        yield f":{number}"
    finally:
        process.terminate()
        process.wait(10)


class Window:
    """A running window. It writes a line for every frame whose number differs from the one before."""

    def __init__(self, process: subprocess.Popen[bytes], told: Path, began_s: float) -> None:
        self.pid, self.began_s, self._told = process.pid, began_s, told

    def frames_s(self) -> list[float]:
        """When each such frame was drawn, on the machine's monotonic clock."""
        return [float(line) for line in self._told.read_text().splitlines() if line]

    def has_drawn(self, count: int) -> bool:
        """Whether there were that many of them."""
        return len(self.frames_s()) >= count

    def first_figure_s(self) -> float:
        """Seconds from the process's start to the first frame with a figure in it."""
        until(lambda: self._told.exists() and self.frames_s(), "the first figure on the wall")
        return self.frames_s()[0] - self.began_s


@contextlib.contextmanager
def window(place: Path, door: int, screen: str) -> Iterator[Window]:
    """The kiosk on that display, in front of the server on that port."""
    told = place / f"frames-{time.monotonic_ns()}"
    env = {"DISPLAY": screen, "SDL_VIDEODRIVER": "x11", "LIBGL_ALWAYS_SOFTWARE": "1"}
    env |= {"STILLSTACK_STATE": str(place / "kiosk-state"), "FRAMES_TO": str(told)}
    began_s = time.monotonic()
    with child([sys.executable, "-m", "tests.bench.watched_kiosk", f"http://127.0.0.1:{door}"], env) as process:
        yield Window(process, told, began_s)
