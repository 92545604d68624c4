"""The real client: one thread with an event loop, one long poll after another, and deeds beside it."""

from __future__ import annotations

import asyncio
import logging
import random
import threading
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from kiosk.answers import Unusable, decided, document, refused_of
from kiosk.client import Answer, Ask, Command, Link, Outcome, Refused, Snapshot, Tell, Update
from kiosk.document import DocumentError

if TYPE_CHECKING:
    import httpx

log = logging.getLogger(__name__)

WAIT_S = 20
DELAYS_S = (0.25, 0.5, 1.0, 2.0, 4.0, 5.0)
COMMAND_TRIES_FOR_S = 60.0
ASK_TRIES_FOR_S = 10.0


class HttpClient:
    """Speaks to ``server`` (``http://host:port``). ``wait_s`` is how long one poll may stay open."""

    def __init__(self, server: str, lang: str = "en", units: str = "metric", wait_s: float = WAIT_S) -> None:
        self.server = server.rstrip("/")
        self._query = {"lang": lang, "units": units}
        self._said_in: dict[str, str] = {}  # the query that the newest snapshot answers
        self._poll: asyncio.Future[None] | None = None
        self._wait_s = wait_s
        self._lock = threading.Lock()
        self._update = Update()
        self._on_change: Callable[[], None] = lambda: None
        self._thread: threading.Thread | None = None
        self._loop: asyncio.AbstractEventLoop | None = None
        self._main: asyncio.Task[None] | None = None
        self._stopped = False
        self._early: list[Command | Ask | Tell] = []
        self._asking: dict[str, asyncio.Task[None]] = {}

    def start(self, on_change: Callable[[], None]) -> None:
        self._on_change = on_change
        self._thread = threading.Thread(target=self._run, name="kiosk-client", daemon=True)
        self._thread.start()

    def latest(self) -> Update:
        with self._lock:
            return self._update

    def send(self, command: Command) -> None:
        self._change(outcome=Outcome(command, "sending"))
        self._hand_over(command)

    def ask(self, ask: Ask) -> None:
        self._sending(ask)
        self._hand_over(ask)

    def tell(self, tell: Tell) -> None:
        self._sending(tell)
        self._hand_over(tell)

    def forget(self, keys: Iterable[str]) -> None:
        gone = set(keys)
        with self._lock:
            known = self._update.answers
            left = {key: answer for key, answer in known.items() if key not in gone}
            self._update = replace(self._update, answers=left)
            changed = len(left) < len(known)
        if changed:
            self._on_change()

    def _hand_over(self, what: Command | Ask | Tell) -> None:
        with self._lock:
            if self._loop is None:
                self._early.append(what)
                return
            loop = self._loop
        with suppress(RuntimeError):  # the loop closed meanwhile: the window is going too
            loop.call_soon_threadsafe(self._begin, what)

    def _sending(self, what: Ask | Tell) -> None:
        """Shown as being sent, with what an earlier asking of the same brought."""
        with self._lock:
            before = self._update.answers.get(what.key)
            same = before is not None and isinstance(what, Ask) and before.of == what
            answer = Answer(what, "sending", before.document if same and before is not None else None)
            self._update = replace(self._update, answers={**self._update.answers, what.key: answer})
        self._on_change()

    def _answered(self, answer: Answer) -> None:
        """Shown, if that is still what is waited for under its key."""
        with self._lock:
            now = self._update.answers.get(answer.of.key)
            if now is None or now.of is not answer.of:
                return
            self._update = replace(self._update, answers={**self._update.answers, answer.of.key: answer})
        self._on_change()

    def use(self, language: str, units: str) -> None:
        with self._lock:
            self._query = {"lang": language, "units": units}
            loop = self._loop
        if loop is not None:
            with suppress(RuntimeError):  # as above
                loop.call_soon_threadsafe(self._poll_anew)

    def _poll_anew(self) -> None:
        if self._poll is not None:
            self._poll.cancel()

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

    def _begin(self, what: Command | Ask | Tell) -> None:
        if isinstance(what, Ask):
            earlier = self._asking.pop(what.key, None)
            if earlier is not None:
                earlier.cancel()
            task = self._asking[what.key] = self._group.create_task(self._inquire(what))
            task.add_done_callback(lambda _: self._asked(what.key, task))
        else:
            deliver = self._deliver(what) if isinstance(what, Command) else self._announce(what)
            self._group.create_task(deliver)

    def _asked(self, key: str, task: asyncio.Task[None]) -> None:
        if self._asking.get(key) is task:
            del self._asking[key]

    async def _poll_for_ever(self) -> None:
        failures = 0
        while True:
            poll = self._poll = asyncio.ensure_future(self._poll_once())
            try:
                await asyncio.wait({poll})
            finally:
                poll.cancel()
            if poll.cancelled():  # asked anew in another language
                continue
            problem = poll.exception()
            if problem is None:
                failures = 0
            else:  # whatever a wire or a server does, the wall stays up and says so
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
        asked = dict(self._query)
        if asked != self._said_in:
            seen = None
        query = dict(asked)
        if seen is not None:
            query |= {"after": str(seen["version"]), "wait_s": f"{self._wait_s:g}"}
        began_s = asyncio.get_running_loop().time()
        answer = await self._http.get("/api/snapshot", params=query)
        if answer.status_code in {204, 304}:
            self._change(link=Link("live"))
            fresh: Snapshot | None = seen
        else:
            fresh = document(answer)
            if known.link.state == "away":
                log.warning("%s: back", self.server)
            self._said_in = asked
            self._change(snapshot=fresh, link=Link("live"))
        if seen is not None and fresh is not None and fresh["version"] == seen["version"]:
            spent_s = asyncio.get_running_loop().time() - began_s
            await asyncio.sleep(
                max(0.0, min(1.0, self._wait_s) - spent_s)
            )  # a server that does not wait is not hammered

    def _reason(self, problem: BaseException) -> str:
        if isinstance(problem, Unusable | DocumentError):
            return f"{self.server}: {problem}"
        return f"{self.server} does not answer ({type(problem).__name__})"

    async def _deliver(self, command: Command) -> None:
        told = await self._tried(Tell(command.command_id, command.path, command.body()), COMMAND_TRIES_FOR_S)
        newest = self.latest().outcome
        if newest is None or newest.command.command_id == command.command_id:
            status = {"here": "done"}.get(told.status, told.status)
            self._change(outcome=Outcome(command, status, told.refused.text if told.refused else ""))  # type: ignore[arg-type]

    async def _announce(self, tell: Tell) -> None:
        self._answered(await self._tried(tell, COMMAND_TRIES_FOR_S))

    async def _inquire(self, ask: Ask) -> None:
        self._answered(await self._tried(ask, ASK_TRIES_FOR_S))

    async def _tried(self, what: Ask | Tell, for_s: float) -> Answer:
        """Sent until the server decides, or that many seconds are over: another try of the same is harmless."""
        loop = asyncio.get_running_loop()
        until_s, tries = loop.time() + for_s, 0
        while True:
            try:
                answer = await self._sent(what)
                if answer.status_code < 500:
                    return decided(what, answer)
                refused = refused_of(answer)
            except Exception as problem:  # noqa: BLE001 - whatever a wire or a server does, the wall stays up and says so
                refused = Refused(self._reason(problem))
            tries += 1
            if loop.time() > until_s:
                return Answer(what, "failed", refused=refused)
            await asyncio.sleep(DELAYS_S[min(tries, len(DELAYS_S)) - 1])

    async def _sent(self, what: Ask | Tell) -> httpx.Response:
        asked = dict(what.query) if isinstance(what, Ask) else {}
        query = self._query | asked
        if isinstance(what, Ask) and what.body is None:
            return await self._http.get(what.path, params=query)
        method = "POST" if isinstance(what, Ask) else what.method
        return await self._http.request(method, what.path, params=query, json=what.body)
