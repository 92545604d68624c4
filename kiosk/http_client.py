"""The real client: one thread with an event loop, one long poll after another, and deeds beside it."""

from __future__ import annotations

import asyncio
import logging
import random
import threading
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from kiosk.client import Command, Link, Outcome, Snapshot, Update
from kiosk.document import DocumentError, checked

if TYPE_CHECKING:
    import httpx

log = logging.getLogger(__name__)

WAIT_S = 20
DELAYS_S = (0.25, 0.5, 1.0, 2.0, 4.0, 5.0)
COMMAND_TRIES_FOR_S = 60.0


class Unusable(Exception):
    """The server answered, but not with something to show."""


class HttpClient:
    """Speaks to ``server`` (``http://host:port``). ``wait_s`` is how long one poll may stay open."""

    def __init__(self, server: str, lang: str = "en", units: str = "metric", wait_s: float = WAIT_S) -> None:
        self.server = server.rstrip("/")
        self._query = {"lang": lang, "units": units}
        self._wait_s = wait_s
        self._lock = threading.Lock()
        self._update = Update()
        self._on_change: Callable[[], None] = lambda: None
        self._thread: threading.Thread | None = None
        self._loop: asyncio.AbstractEventLoop | None = None
        self._main: asyncio.Task[None] | None = None
        self._stopped = False
        self._early: list[Command] = []

    def start(self, on_change: Callable[[], None]) -> None:
        self._on_change = on_change
        self._thread = threading.Thread(target=self._run, name="kiosk-client", daemon=True)
        self._thread.start()

    def latest(self) -> Update:
        with self._lock:
            return self._update

    def send(self, command: Command) -> None:
        self._change(outcome=Outcome(command, "sending"))
        with self._lock:
            if self._loop is None:
                self._early.append(command)
                return
            loop = self._loop
        loop.call_soon_threadsafe(self._begin, command)

    def stop(self) -> None:
        with self._lock:
            self._stopped = True
            loop, main = self._loop, self._main
        if loop is not None and main is not None and not loop.is_closed():
            try:
                loop.call_soon_threadsafe(main.cancel)
            except RuntimeError:  # it closed meanwhile, which is what was wanted
                return
        if self._thread is not None and self._thread is not threading.current_thread():
            self._thread.join(1.0)

    def _change(self, **what: Any) -> None:
        with self._lock:
            before = self._update
            self._update = replace(before, **what)
            changed = self._update != before
        if changed:
            self._on_change()

    def _run(self) -> None:
        try:
            asyncio.run(self._work())
        except asyncio.CancelledError:
            return

    async def _work(self) -> None:
        import httpx  # noqa: PLC0415 - a fifth of a second that the window's own start need not wait for

        timeout = httpx.Timeout(5.0, read=self._wait_s + 10.0)
        async with (
            httpx.AsyncClient(base_url=self.server, timeout=timeout, trust_env=False) as http,
            asyncio.TaskGroup() as g,
        ):
            self._http, self._group = http, g
            with self._lock:
                self._loop, self._main = asyncio.get_running_loop(), asyncio.current_task()
                early, self._early = self._early, []
                if self._stopped:
                    return
            for command in early:
                self._begin(command)
            await self._poll_for_ever()

    def _begin(self, command: Command) -> None:
        self._group.create_task(self._deliver(command))

    async def _poll_for_ever(self) -> None:
        failures = 0
        while True:
            try:
                await self._poll_once()
                failures = 0
            except Exception as problem:  # noqa: BLE001 - whatever a wire or a server does, the wall stays up and says so
                failures += 1
                if failures > 1 or self.latest().snapshot is None:  # one cut poll is a restart, not an absence
                    self._lose(self._reason(problem))
                await asyncio.sleep(DELAYS_S[min(failures, len(DELAYS_S)) - 1] * random.uniform(0.8, 1.2))

    def _lose(self, reason: str) -> None:
        if self.latest().link.state != "away":
            log.warning("%s", reason)
        self._change(link=Link("away", reason))

    async def _poll_once(self) -> None:
        known = self.latest()
        seen = known.snapshot if known.link.state == "live" else None  # after an absence, ask for all of it at once
        query = dict(self._query)
        if seen is not None:
            query |= {"after": str(seen["version"]), "wait_s": f"{self._wait_s:g}"}
        began_s = asyncio.get_running_loop().time()
        answer = await self._http.get("/api/snapshot", params=query)
        if answer.status_code in {204, 304}:
            self._change(link=Link("live"))
            fresh: Snapshot | None = seen
        else:
            fresh = _document(answer)
            if known.link.state == "away":
                log.warning("%s: back", self.server)
            self._change(snapshot=fresh, link=Link("live"))
        if seen is not None and fresh is not None and fresh["version"] == seen["version"]:
            spent_s = asyncio.get_running_loop().time() - began_s
            await asyncio.sleep(
                max(0.0, min(1.0, self._wait_s) - spent_s)
            )  # a server that does not wait is not hammered

    def _reason(self, problem: Exception) -> str:
        if isinstance(problem, Unusable | DocumentError):
            return f"{self.server}: {problem}"
        return f"{self.server} does not answer ({type(problem).__name__})"

    async def _deliver(self, command: Command) -> None:
        loop = asyncio.get_running_loop()
        until_s = loop.time() + COMMAND_TRIES_FOR_S
        tries = 0
        while True:
            try:
                answer = await self._http.post(command.path, json=command.body())
                if answer.status_code < 500:
                    status, reason = ("done", "") if answer.is_success else ("refused", _problem(answer))
                    break
                reason = _problem(answer)
            except Exception as problem:  # noqa: BLE001 - as above; the same command_id makes another try harmless
                reason = self._reason(problem)
            tries += 1
            if loop.time() > until_s:
                status = "failed"
                break
            await asyncio.sleep(DELAYS_S[min(tries, len(DELAYS_S)) - 1])
        newest = self.latest().outcome
        if newest is None or newest.command.command_id == command.command_id:
            self._change(outcome=Outcome(command, status, reason))  # type: ignore[arg-type]


def _document(answer: httpx.Response) -> Snapshot:
    if not answer.is_success:
        raise Unusable(_problem(answer))
    try:
        document = answer.json()
    except ValueError:
        kind = answer.headers.get("content-type", "nothing said")
        raise Unusable(f"/api/snapshot: found {kind}; would be right: a JSON document") from None
    return checked(document)


def _problem(answer: httpx.Response) -> str:
    """The sentence of an RFC 9457 problem, else the status."""
    try:
        document = answer.json()
        return str(document.get("detail") or document["title"])
    except (ValueError, KeyError, AttributeError):
        return f"HTTP {answer.status_code}"
