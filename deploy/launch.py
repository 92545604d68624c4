"""Starts the server and the window, keeps them running, and stops them in reverse order. Called by deploy/run.

Standard library only, and apart from both programs: whatever dies, this is what brings it back. Each child has a
process group of its own, so that Ctrl-C reaches this program alone and the order is ours; and each dies with this
program, even when that is killed (PR_SET_PDEATHSIG).
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import ctypes
import json
import os
import signal
import socket
import sys
import urllib.error
import urllib.request
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PYTHON = sys.executable
STOP_WITHIN_S = 4.7
"""For all parts together, so that the whole stop stays inside five seconds. One that has not ended is killed."""
SERVER_STOP_S, DISPLAY_STOP_S = 3.0, 0.2
"""What the parts before them in the stop leave for these. A broker that will not end costs the server two seconds."""
PR_SET_PDEATHSIG = 1
SERVER_READY_S = 120.0
"""A first start of the demo lays down fourteen months before it answers; that shows its own progress."""


def _die_with_parent() -> None:
    ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGTERM)


class Child:
    """One program kept running: started again when it ends by itself, with a growing pause when it keeps ending."""

    def __init__(
        self, name: str, command: Sequence[str], environment: dict[str, str], again: Sequence[str] = ()
    ) -> None:
        self.name, self.command, self.again = name, list(command), list(again)
        self.environment = environment
        self.process: asyncio.subprocess.Process | None = None
        self.started = 0

    async def start(self) -> asyncio.subprocess.Process:
        """Start it; from the second time on with the extra arguments that say so."""
        command = self.command + (self.again if self.started else [])
        self.started += 1
        self.process = await asyncio.create_subprocess_exec(
            *command, env=self.environment, cwd=ROOT, start_new_session=True, preexec_fn=_die_with_parent
        )
        return self.process

    async def keep(self) -> int:
        """Run until it ends well (0 or a refusal, 2); bring it back after anything else."""
        pause_s = 0.2
        loop = asyncio.get_running_loop()
        while True:
            began = loop.time()
            process = self.process if self.process and self.process.returncode is None else await self.start()
            code = await process.wait()
            if code in (0, 2):
                return code
            pause_s = 0.2 if loop.time() - began > 20 else min(2 * pause_s, 10.0)
            print(f"The {self.name} ended ({_reason(code)}); starting it again.", file=sys.stderr, flush=True)
            await asyncio.sleep(pause_s)

    async def stop(self, by_s: float) -> None:
        """Ask it to end, wait until ``by_s`` of the loop's clock, and end it if it will not."""
        await _ended(self.name, self.process, by_s)


class Display:
    """A virtual screen for a machine without one."""

    name = "virtual display"

    def __init__(self, size: str) -> None:
        self.size = size
        self.process: asyncio.subprocess.Process | None = None

    async def start(self) -> str:
        """Start it and return its name; the X server itself picks a free one and says it."""
        self.process = await asyncio.create_subprocess_exec(
            "Xvfb", "-displayfd", "1", "-screen", "0", f"{self.size}x24", "-nolisten", "tcp", "-noreset",
            start_new_session=True, preexec_fn=_die_with_parent,
            stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.DEVNULL,
        )  # fmt: skip
        assert self.process.stdout is not None  # noqa: S101 - for the type checker: we asked for a pipe
        number = (await asyncio.wait_for(self.process.stdout.readline(), 20.0)).decode().strip()
        if not number:
            raise RuntimeError("the virtual display (Xvfb) ended before it was ready")
        return f":{number}"

    async def stop(self, by_s: float) -> None:
        """End it."""
        await _ended(self.name, self.process, by_s)


async def _ended(name: str, process: asyncio.subprocess.Process | None, by_s: float) -> None:
    if process is None or process.returncode is not None:
        return
    process.terminate()
    try:
        async with asyncio.timeout_at(by_s):
            await process.wait()
    except TimeoutError:
        print(f"The {name} did not end when asked; killed.", file=sys.stderr, flush=True)
        with contextlib.suppress(ProcessLookupError):
            process.kill()
        await process.wait()


async def _stop(window: Child | None, server: Child | None, display: Display) -> None:
    """In reverse order of the start, against one deadline: what a quick one leaves over, the next may use."""
    by_s = asyncio.get_running_loop().time() + STOP_WITHIN_S
    if window is not None:
        await window.stop(by_s - SERVER_STOP_S - DISPLAY_STOP_S)
    if server is not None:
        await server.stop(by_s - DISPLAY_STOP_S)
    await display.stop(by_s)


def _reason(code: int) -> str:
    return signal.Signals(-code).name if code < 0 else f"code {code}"


def _free_port() -> int:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])


def _answers(url: str) -> bool:
    try:
        with urllib.request.urlopen(f"{url}/api/health", timeout=1.0) as reply:  # noqa: S310 - our own loopback address
            return bool(json.load(reply))
    except (OSError, ValueError, urllib.error.URLError):
        return False


async def _until_ready(keeper: asyncio.Future[int], url: str) -> int | None:
    """Wait for the door to open. Returns the server's exit code if it ended for good first, None once it answers."""
    loop = asyncio.get_running_loop()
    until = loop.time() + SERVER_READY_S
    while loop.time() < until:
        if keeper.done():
            return keeper.result()
        if await asyncio.to_thread(_answers, url):
            return None
        await asyncio.wait({keeper}, timeout=0.05)
    print(f"The server has not answered at {url} for {SERVER_READY_S:.0f} s.", file=sys.stderr)
    return 1


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="deploy/run", description="Start Stillstack: server and window.")
    parser.add_argument("--demo", action="store_true", help="the fictional workshop, nothing to configure")
    parser.add_argument(
        "--speed", type=float, default=1.0, help="run the demo's clock this many times as fast (1..3600)"
    )
    parser.add_argument("--snapshots", type=Path, metavar="DIR", help="write a picture of each screen there, then end")
    parser.add_argument("--size", default="1280x800", help="of the window without a display (default %(default)s)")
    args = parser.parse_args()
    if args.speed != 1.0 and not args.demo:
        parser.error("--speed: found without --demo; would be right: only with --demo")
    if not 1.0 <= args.speed <= 3600.0:
        parser.error(f"--speed: found {args.speed:g}; would be right: 1 to 3600")
    return args


def _children(args: argparse.Namespace, port: int, environment: dict[str, str]) -> tuple[Child, Child]:
    url = f"http://127.0.0.1:{port}"
    serve = ["demo", "--speed", f"{args.speed:g}"] if args.demo else ["serve"]
    server = Child("server", [PYTHON, "-m", "server", *serve, "--api-port", str(port)], environment, ["--restarted"])
    window = [PYTHON, "-m", "kiosk", "--server", url, "--size", args.size]
    if args.snapshots:
        window += ["--snapshots", str(args.snapshots.absolute())]
    elif environment.get("STILLSTACK_PICTURES"):
        window += ["--pictures", environment["STILLSTACK_PICTURES"]]
    return server, Child("window", window, environment, ["--restarted"])


async def _run(args: argparse.Namespace) -> int:
    stopped = asyncio.Event()
    for sign in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        asyncio.get_running_loop().add_signal_handler(sign, stopped.set)
    parts = Parts(Display(args.size))
    # Raced from the first moment on: a display or a server that does not come must not hold who wants to stop.
    working = asyncio.ensure_future(_work(args, parts))
    waiting = asyncio.ensure_future(stopped.wait())
    try:
        await asyncio.wait({working, waiting}, return_when=asyncio.FIRST_COMPLETED)
        return working.result() if working.done() else 0
    finally:
        working.cancel()
        waiting.cancel()
        await asyncio.wait({working, waiting})
        await _stop(parts.window, parts.server, parts.display)
        print("Stopped.", flush=True)


@dataclass(slots=True)
class Parts:
    """What has been started, for the stop."""

    display: Display
    server: Child | None = None
    window: Child | None = None


async def _work(args: argparse.Namespace, parts: Parts) -> int:
    state = _state_folder(args.demo)
    environment = dict(os.environ, STILLSTACK_STATE=str(state), PYTHONUNBUFFERED="1")
    if not (environment.get("DISPLAY") or environment.get("WAYLAND_DISPLAY")):
        environment["DISPLAY"] = await parts.display.start()
        environment["LIBGL_ALWAYS_SOFTWARE"] = "1"
        if not args.snapshots:
            environment["STILLSTACK_PICTURES"] = str(state / "pictures")
            print(f"No display here: the window runs on a virtual one. Its pictures: {state / 'pictures'}", flush=True)
    port = _free_port() if args.demo else await _configured_port(environment)
    parts.server, parts.window = _children(args, port, environment)
    return await _supervise(parts.server, parts.window, f"http://127.0.0.1:{port}", once=bool(args.snapshots))


def _state_folder(demo: bool) -> Path:
    folder = Path(os.environ.get("STILLSTACK_STATE", ROOT / "state" / ("demo" if demo else ""))).absolute()
    folder.mkdir(parents=True, exist_ok=True)
    return folder


async def _configured_port(environment: dict[str, str]) -> int:
    """The port the shop's own configuration names; the server says what is wrong with that file, if anything is."""
    ask = await asyncio.create_subprocess_exec(
        PYTHON, "-m", "server", "preflight", "--api-port", env=environment, cwd=ROOT, start_new_session=True,
        preexec_fn=_die_with_parent, stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.DEVNULL,
    )  # fmt: skip
    try:
        answer = (await ask.communicate())[0].decode().strip()
    finally:
        if ask.returncode is None:
            ask.kill()
            await ask.wait()
    return int(answer) if answer.isascii() and answer.isdigit() else 8736


async def _supervise(server: Child, window: Child, url: str, *, once: bool) -> int:
    keepers = [asyncio.ensure_future(server.keep())]
    try:
        if (code := await _until_ready(keepers[0], url)) is not None:
            return code
        keepers.append(asyncio.ensure_future(_single(window) if once else window.keep()))
        done, _ = await asyncio.wait(keepers, return_when=asyncio.FIRST_COMPLETED)
        return next(keeper.result() for keeper in keepers if keeper in done)
    finally:
        for keeper in keepers:
            keeper.cancel()
        await asyncio.wait(keepers)


async def _single(window: Child) -> int:
    return await (await window.start()).wait()


if __name__ == "__main__":
    sys.exit(asyncio.run(_run(_arguments())))
