"""A broker of our own for a shop that has none: the distribution's mosquitto as a child, on loopback only.

Its defaults lose messages (1,000 queued per session, nothing kept on disk), so it gets a configuration of ours.
"""

from __future__ import annotations

import asyncio
import contextlib
import errno
import logging
import os
import random
import shutil
import socket
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from server.broker_folder import CONFIGURATION, HOST, STORE, keep_configuration, moved_aside
from server.clock import Clock, SystemClock

logger = logging.getLogger(__name__)

END_WITHIN_S = 2.0
AS_ROOT = "should not be run as root"
"""What it says when our configuration keeps it root (so that it can write root's folder): known, and no news."""
WAKES_S = 5.0
STEADY_AFTER_S = 10.0
"""A child that lived so long is started again at once; one that dies sooner waits longer each time."""
NO_ROOM = (errno.ENOSPC, errno.EDQUOT)
"""What passes by itself once somebody has made room."""


class BrokerError(Exception):
    """The broker cannot run until a person changes something. The text says what was found and what would be right."""


@dataclass(frozen=True, slots=True)
class BrokerState:
    """How the broker is doing, for Setup and the health document. ``since_ms`` is wall time, ms since 1970 UTC."""

    state: Literal["starting", "listening", "lost", "stopped"]
    since_ms: int
    port: int
    pid: int | None = None
    restarts: int = 0
    last_error: str = ""


class Broker:
    """One mosquitto child with its data in ``folder``, listening on ``port`` of loopback, without passwords: only
    programs of this machine reach it. What it holds for an absent session survives its own death, but for the last
    5 s."""

    def __init__(self, folder: Path, port: int, clock: Clock | None = None) -> None:
        if not 1 <= port <= 65535:
            raise ValueError(f"port: found {port}; would be right: 1 to 65535")
        self.folder = folder
        self.port = port
        self.ready = asyncio.Event()
        """Set while the port answers."""
        self.tried = asyncio.Event()
        """Set once it has listened or failed for the first time."""
        self._clock = clock or SystemClock()
        self.status = BrokerState("starting", self._clock.now().wall_ms, port)
        self._aside = ""

    @property
    def state(self) -> Literal["starting", "listening", "lost", "stopped"]:
        """How it is doing, in one word; :attr:`status` says the rest."""
        return self.status.state

    @property
    def told(self) -> str:
        """How it is doing, and what went wrong last where something did, for the health document."""
        return f"{self.state}: {self.status.last_error}" if self.status.last_error else self.state

    def check(self) -> None:
        """Whether it can run at all. Raises :class:`BrokerError` as :meth:`run` does."""
        self._command()
        self._check_port_is_free()
        with contextlib.suppress(OSError):  # no room: the first life meets it again, and tells it
            self._keep_configuration()

    async def given_time(self) -> None:
        """Until it was tried, for a while: one that does not wake up holds nobody."""
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(WAKES_S):
                await self.tried.wait()

    async def run(self) -> None:
        """Keep it running until cancelled; then end it (SIGTERM, after 2 s SIGKILL) and wait for that.

        A store of its that it cannot read is kept under another name, and it starts without: better the messages from
        now on than none. Raises :class:`BrokerError` if at the start mosquitto is missing, the folder cannot be written
        (a full disk is waited for) or the port is taken. Later troubles are retried for ever and show in
        :attr:`status`.
        """
        self.check()
        command, failures = self._command(), 0
        try:
            while True:
                began_s = asyncio.get_running_loop().time()
                error = await self._one_life(command)
                steady = asyncio.get_running_loop().time() - began_s >= STEADY_AFTER_S
                failures = 0 if steady else failures + 1
                self._aside = "" if steady else self._aside
                self._change(state="lost", pid=None, last_error=error, restarts=self.status.restarts + 1)
                self.tried.set()
                logger.warning("The broker on port %d went down: %s. It is started again.", self.port, error)
                await asyncio.sleep(
                    0.1 if failures <= 1 else random.uniform(0.5, 1.0) * min(30.0, 2.0 ** min(failures, 5))
                )
        finally:
            self._change(state="stopped", pid=None)

    async def _one_life(self, command: list[str]) -> str:
        """Start the child and wait until it has ended; why it did."""
        try:
            await asyncio.to_thread(self._keep_configuration)
            # Also on a restart: else another program's answer would pass for our child's.
            self._check_port_is_free()
            child = await asyncio.create_subprocess_exec(
                *command,
                stdin=asyncio.subprocess.DEVNULL,
                stdout=asyncio.subprocess.DEVNULL,
                stderr=asyncio.subprocess.PIPE,
            )
        except OSError as err:
            return f"{err.filename or command[0]}: {err.strerror}"
        except BrokerError as err:
            return str(err)
        self._change(pid=child.pid)
        try:
            async with asyncio.TaskGroup() as group:
                said = group.create_task(_last_words(child), name="broker log")
                answering = group.create_task(self._await_answer(), name="broker answer")
                code = await child.wait()
                answering.cancel()
            last = said.result()
            ended = f"mosquitto ended with code {code}{f': {last}' if last else ''}"
            if code > 0 and "database" in last and not self.ready.is_set():
                return await asyncio.to_thread(self._without_its_store, ended)
            return ended
        finally:
            self.ready.clear()
            await _ended(child)

    async def _await_answer(self) -> None:
        delay_s = 0.02
        while not await _answers(self.port):
            await asyncio.sleep(delay_s)
            delay_s = min(0.5, delay_s * 1.5)
        self._change(state="listening", last_error=self._aside)
        self.ready.set()
        self.tried.set()
        logger.info("The broker listens on port %d.", self.port)

    def _command(self) -> list[str]:
        path = os.environ.get("PATH", os.defpath) + ":/usr/sbin:/sbin"
        mosquitto = shutil.which("mosquitto", path=path)
        setpriv = shutil.which("setpriv", path=path)
        if mosquitto is None or setpriv is None:
            missing = "mosquitto" if mosquitto is None else "setpriv"
            package = "mosquitto" if mosquitto is None else "util-linux"
            hint = f"would be right: apt install {package}, or a source that names a broker of yours"
            raise BrokerError(f"broker: found no {missing}; {hint}")
        # The kernel ends the child when the thread that started it dies: no orphan keeps the port after a kill -9.
        # setpriv does it between fork and exec without Python code running in the forked child.
        return [setpriv, "--pdeathsig", "TERM", mosquitto, "-c", str(self.folder / CONFIGURATION)]

    def _keep_configuration(self) -> None:
        try:
            keep_configuration(self.folder, self.port)
        except OSError as err:
            if err.errno in NO_ROOM:
                raise
            raise BrokerError(
                f"broker: {self.folder / CONFIGURATION}: {err.strerror}; would be right: a folder we may write"
            ) from err

    def _without_its_store(self, ended: str) -> str:
        """Once in a row: what it still cannot read then is not the store's fault, and stays where it is."""
        if self._aside:
            return ended
        try:
            aside = moved_aside(self.folder, self._clock.now().wall_ms)
        except OSError as err:
            return f"{ended}; {self.folder / STORE} cannot be moved aside: {err.strerror}"
        if aside is None:
            return ended
        self._aside = f"it could not read what it had kept; that lies in {aside}, and it began anew"
        logger.error("The broker on port %d: %s (%s)", self.port, self._aside, ended)
        return f"{ended}; {self._aside}"

    def _check_port_is_free(self) -> None:
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((HOST, self.port))
            except OSError as err:
                if err.errno == errno.EADDRINUSE:
                    hint = "would be right: another port, or a source that names the broker already running there"
                    raise BrokerError(
                        f"broker: port {self.port} on {HOST} is taken by another program; {hint}"
                    ) from err
                hint = "would be right: a port above 1023"
                raise BrokerError(f"broker: port {self.port}: {err.strerror}; {hint}") from err

    def _change(self, **changes: object) -> None:
        changed = replace(self.status, **changes)  # type: ignore[arg-type]
        if changed.state != self.status.state:
            changed = replace(changed, since_ms=self._clock.now().wall_ms)
        self.status = changed


async def _answers(port: int) -> bool:
    try:
        _, writer = await asyncio.open_connection(HOST, port)
    except OSError:
        return False
    writer.close()
    with contextlib.suppress(OSError):
        await writer.wait_closed()
    return True


async def _last_words(child: asyncio.subprocess.Process) -> str:
    """Pass what it says on to our log; its last line, for the state."""
    last = ""
    assert child.stderr is not None  # noqa: S101 - for the type checker: we asked for a pipe
    async for line in child.stderr:
        said = line.decode("utf-8", "replace").strip()
        if AS_ROOT in said:
            continue
        last = said
        logger.info("mosquitto: %s", last)
    return last


async def _ended(child: asyncio.subprocess.Process) -> None:
    if child.returncode is not None:
        return
    with contextlib.suppress(ProcessLookupError):
        child.terminate()
    # Not asyncio.timeout: this runs while its task is being cancelled, and Python 3.11.2 then takes the time limit for
    # the cancelling and leaves a deaf child alive.
    waiting = asyncio.ensure_future(child.wait())
    await asyncio.wait({waiting}, timeout=END_WITHIN_S)
    if not waiting.done():
        with contextlib.suppress(ProcessLookupError):
            child.kill()
    await waiting
