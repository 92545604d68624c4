"""Keeps a wire going for ever, and knows how it is doing."""

from __future__ import annotations

import asyncio
import logging
import random
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from sensors.driver import Driver, Forgets, LinkLost, LinkRefused, Now
from sensors.sample import Heard, RawSample, bounded

logger = logging.getLogger(__name__)

State = Literal["starting", "listening", "lost", "refused", "stopped"]
LAST_BYTES = 120
FORGET_WITHIN_S = 5.0
STEADY_S = 10.0
"""A link that held so long begins again with short waits."""

Pause = Callable[[int, bool], float]
"""Seconds to wait before a try: (how many failed in a row, whether the last was a refusal)."""


@dataclass(frozen=True, slots=True)
class LinkState:
    """How a wire is doing; field for field ``server.reading.SourceState``, which this package does not know.

    ``since_ms`` is when ``state`` began and ``silent_since_ms`` when bytes last came (the start, if none came; None
    before the start). Both are measured on the monotonic clock and only told as wall time, ms since 1970 UTC, so a step
    of the wall clock makes no silence.
    """

    source: str
    kind: str
    where: str
    state: State
    since_ms: int
    silent_since_ms: int | None
    heard: int
    refused: int
    dropped: int
    reconnects: int
    last_bytes: str
    last_error: str


Tap = Callable[[str, str, bytes], None]
"""Told of all bytes as they come: source, topic, bytes."""


def pause_s(failures: int, refused: bool) -> float:
    """0.2 s the first time, then drawn below a cap that doubles to 30 s, so that many wires do not knock together. What
    only a person can change is asked for less often."""
    if refused:
        return random.uniform(15.0, 30.0)
    cap_s = 2.0 ** min(failures - 1, 5)
    return 0.2 if failures <= 1 else random.uniform(1.0, min(30.0, max(1.5, cap_s)))


class Supervisor:
    """One wire: its driver, started again whenever it ends, and its state. It is the driver's listener.

    ``sink`` is given every sample and every refused payload, as ``admit`` gives them back; ``tap`` all bytes before
    anybody read them. ``kind`` and ``where`` are for people.
    """

    def __init__(  # noqa: PLR0917 - what it is called, what it keeps going, what that reports to
        self,
        source_id: str,
        kind: str,
        where: str,
        driver: Driver,
        sink: Callable[[Heard], None],
        now: Now,
        *,
        pause: Pause = pause_s,
        admit: Callable[[Heard], Heard] = lambda item: item,
        tap: Tap | None = None,
    ) -> None:
        self.source_id, self.kind, self.where = source_id, kind, where
        self._driver, self._sink, self._now, self._pause, self._admit = driver, sink, now, pause, admit
        self._tap = tap
        self._state: State = "starting"
        self._since_s = now()[1]
        self._silent_since_s: float | None = None
        self._heard = self._refused = self._dropped = self._reconnects = 0
        self._was_up = False
        self._up_s: float | None = None
        self._failures = 0
        self._last_bytes = b""
        self._last_error = ""

    async def run(self) -> None:
        """For ever; ends only by being cancelled."""
        self._silent_since_s = self._now()[1]
        try:
            while True:
                refused = await self._one_try()
                held_s = 0.0 if self._up_s is None else asyncio.get_running_loop().time() - self._up_s
                self._up_s = None
                self._failures = 1 if held_s >= STEADY_S else self._failures + 1
                await asyncio.sleep(self._pause(self._failures, refused))
        finally:
            self._change("stopped")

    async def _one_try(self) -> bool:
        """Run the driver until it fails; whether it was refused. A failure is logged once, not at every try."""
        try:
            await self._driver.run(self)
            self._down("lost", "the driver ended without a reason, which is a bug")
        except LinkLost as err:
            self._down("lost", str(err))
        except LinkRefused as err:
            self._down("refused", str(err))
            return True
        except Exception as err:
            # A bug of ours must not take the other wires along, and must not be quiet either.
            text = f"{type(err).__name__}: {err}"
            logger.exception("Source %s: a bug in its driver", self.source_id)
            self._down("lost", text)
        return False

    def _down(self, state: State, error: str) -> None:
        if self._state in {"starting", "listening"} or (self._state, self._last_error) != (state, error):
            again = self._state in {"lost", "refused"}
            logger.log(logging.DEBUG if again else logging.WARNING, "Source %s is %s: %s", self.source_id, state, error)
        self._last_error = error
        self._change(state)

    def _change(self, state: State) -> None:
        if state != self._state:
            self._state, self._since_s = state, self._now()[1]

    async def forget(self) -> None:
        """The source is taken away for good; to be called when :meth:`run` has ended. Within some seconds its driver
        ends what goes on without us, such as a broker's session; where it cannot, that is said and left."""
        if not isinstance(self._driver, Forgets):
            return
        try:
            async with asyncio.timeout(FORGET_WITHIN_S):
                await self._driver.forget()
        except (LinkLost, LinkRefused, OSError, TimeoutError) as err:
            logger.warning("Source %s is gone, and its broker was not told: %s", self.source_id, err or "no answer")

    def connected(self) -> None:
        """The driver has its link."""
        self._up_s = asyncio.get_running_loop().time()
        if self._was_up:
            self._reconnects += 1
        if self._state in {"lost", "refused"}:
            logger.warning("Source %s is back: %s", self.source_id, self.where)
        self._was_up = True
        self._change("listening")

    def bytes_heard(self, payload: bytes, topic: str = "") -> None:
        """Bytes came."""
        if self._tap is not None:
            self._tap(self.source_id, topic, payload)
        self._silent_since_s = self._now()[1]
        self._last_bytes = (self._last_bytes + payload[-LAST_BYTES:])[-LAST_BYTES:]

    def heard(self, item: Heard) -> None:
        """A sample or a refused payload came."""
        item = bounded(self._admit(item))
        if isinstance(item, RawSample):
            self._heard += 1
        else:
            self._refused += 1
        self._sink(item)

    def dropped(self, count: int) -> None:
        """Samples were given up."""
        self._dropped += count

    def state(self) -> LinkState:
        """How the wire is doing now."""
        wall_ms, mono_s = self._now()

        def label(moment_s: float) -> int:
            return wall_ms - round((mono_s - moment_s) * 1000)

        silent_since_s = self._silent_since_s
        return LinkState(
            self.source_id,
            self.kind,
            self.where,
            self._state,
            label(self._since_s),
            None if silent_since_s is None else label(silent_since_s),
            self._heard,
            self._refused,
            self._dropped,
            self._reconnects,
            printable(self._last_bytes),
            self._last_error,
        )


def printable(content: bytes) -> str:
    """Bytes as a person can look at them: text as it is, anything else as an escape."""
    text = content.decode("utf-8", "backslashreplace")
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)
