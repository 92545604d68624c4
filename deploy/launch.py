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
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PYTHON = sys.executable
STOP_S = 2.2
"""A child that has not ended after this long is killed; two of them in turn stay inside five seconds."""
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

    async def stop(self) -> None:
        """Ask it to end, wait, and end it if it will not."""
        if self.process is None or self.process.returncode is not None:
            return
        self.process.terminate()
        try:
            await asyncio.wait_for(self.process.wait(), STOP_S)
        except TimeoutError:
            print(f"The {self.name} did not end when asked; killed.", file=sys.stderr, flush=True)
            self.process.kill()
            await self.process.wait()


class Display:
    """A virtual screen for a machine without one."""

    def __init__(self, size: str) -> None:
        self.size = size
        self.process: asyncio.subprocess.Process | None = None

    async def start(self) -> str:
        """Start it and return its name; the X server itself picks a free one and says it."""
        reader, writer = os.pipe()
        self.process = await asyncio.create_subprocess_exec(
            "Xvfb", "-displayfd", str(writer), "-screen", "0", f"{self.size}x24", "-nolisten", "tcp", "-noreset",
            pass_fds=(writer,), start_new_session=True, preexec_fn=_die_with_parent,
            stdout=asyncio.subprocess.DEVNULL, stderr=asyncio.subprocess.DEVNULL,
        )  # fmt: skip
        os.close(writer)
        with os.fdopen(reader) as pipe:
            number = await asyncio.wait_for(asyncio.to_thread(pipe.readline), 20.0)
        if not number.strip():
            raise RuntimeError("the virtual display (Xvfb) ended before it was ready")
        return f":{number.strip()}"

    async def stop(self) -> None:
        """End it."""
        if self.process and self.process.returncode is None:
            self.process.terminate()
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(self.process.wait(), 1.0)


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


async def _until_ready(server: Child, url: str) -> int | None:
    """Wait for the door to open. Returns the server's exit code if it ended first, None once it answers."""
    process = await server.start()
    loop = asyncio.get_running_loop()
    until = loop.time() + SERVER_READY_S
    while loop.time() < until:
        if process.returncode is not None:
            return process.returncode
        if await asyncio.to_thread(_answers, url):
            return None
        await asyncio.sleep(0.05)
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
    state = _state_folder(args.demo)
    environment = dict(os.environ, STILLSTACK_STATE=str(state), PYTHONUNBUFFERED="1")
    stopped = asyncio.Event()
    for sign in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        asyncio.get_running_loop().add_signal_handler(sign, stopped.set)
    display = Display(args.size)
    if not (environment.get("DISPLAY") or environment.get("WAYLAND_DISPLAY")):
        environment["DISPLAY"] = await display.start()
        environment["LIBGL_ALWAYS_SOFTWARE"] = "1"
        if not args.snapshots:
            environment["STILLSTACK_PICTURES"] = str(state / "pictures")
            print(f"No display here: the window runs on a virtual one. Its pictures: {state / 'pictures'}", flush=True)
    port = _free_port() if args.demo else _configured_port(environment)
    server, window = _children(args, port, environment)
    waiting = asyncio.ensure_future(stopped.wait())
    try:
        return await _supervise(server, window, f"http://127.0.0.1:{port}", waiting, once=bool(args.snapshots))
    finally:
        waiting.cancel()
        for part in (window, server, display):
            await part.stop()
        print("Stopped.", flush=True)


def _state_folder(demo: bool) -> Path:
    folder = Path(os.environ.get("STILLSTACK_STATE", ROOT / "state" / ("demo" if demo else ""))).absolute()
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def _configured_port(environment: dict[str, str]) -> int:
    """The port the shop's own configuration names; the server says what is wrong with that file, if anything is."""
    ask = [PYTHON, "-m", "server", "preflight", "--api-port"]
    import subprocess  # noqa: PLC0415 - only this path needs it

    answer = subprocess.run(ask, env=environment, cwd=ROOT, capture_output=True, text=True, check=False)
    return int(answer.stdout) if answer.stdout.strip().isdigit() else 8736


async def _supervise(server: Child, window: Child, url: str, stop: asyncio.Future[object], *, once: bool) -> int:
    ready = asyncio.ensure_future(_until_ready(server, url))
    await asyncio.wait({ready, stop}, return_when=asyncio.FIRST_COMPLETED)
    if not ready.done():
        ready.cancel()
        return 0
    if (code := ready.result()) is not None:
        return code
    keepers = [asyncio.ensure_future(server.keep())]
    keepers.append(asyncio.ensure_future(_single(window) if once else window.keep()))
    done, _ = await asyncio.wait({*keepers, stop}, return_when=asyncio.FIRST_COMPLETED)
    for keeper in keepers:
        keeper.cancel()
    ended = [k.result() for k in keepers if k in done]
    return int(ended[0]) if ended else 0


async def _single(window: Child) -> int:
    return await (await window.start()).wait()


if __name__ == "__main__":
    sys.exit(asyncio.run(_run(_arguments())))
