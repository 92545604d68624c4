"""The link of a subscription: what it does with messages, and when it stops reading them."""

from __future__ import annotations

import asyncio
import logging
from typing import Protocol

from sensors.driver import Listener
from sensors.mqtt.access import Access
from sensors.mqtt.announced import Announced
from sensors.mqtt.backlog import HELD_BACK, Backlog
from sensors.mqtt.link import Link, Message
from sensors.mqtt.versions import Version
from sensors.sample import Acknowledge, RawSample, RefusedPayload
from sensors.threads import in_daemon_thread

logger = logging.getLogger(__name__)

SAVE_EVERY_S = 60.0
SETTLE_S = 0.2
"""So long after the first of a burst of announcements they are kept and subscribed to."""

GIVEN_UP_LIMIT = 1000
"""Topics that nobody asks for and that are unsubscribed from, each once a link."""


class Owner(Protocol):
    """The subscription that a link belongs to; it lives on when the link ends."""

    announced: Announced | None
    unacknowledged_limit: int
    saved_s: float
    """When announcements were last kept, on the loop's clock."""

    def read(
        self, message: Message, acknowledge: Acknowledge | None, *, backlog: bool = False
    ) -> list[RawSample | RefusedPayload]: ...
    def refused(self, message: Message, reason: str, acknowledge: Acknowledge | None) -> RefusedPayload: ...
    def announced_topics(self) -> frozenset[str]: ...
    def asks_for(self, topic: str) -> bool: ...


class ListeningLink(Link):
    """A link that hands on what it hears and stops reading while too much of it is unacknowledged."""

    def __init__(self, owner: Owner, access: Access, version: Version, listener: Listener) -> None:
        super().__init__(access, version, keep_session=True)
        self._owner = owner
        self._listener = listener
        self._unacknowledged = 0
        self._paused = False
        self._settling: asyncio.TimerHandle | None = None
        self._followed: frozenset[str] = frozenset()
        self._given_up: set[str] = set()
        self._resumed_s = 0.0
        self._spoke_s = self.loop.time()
        self._backlog = Backlog(self.loop, lambda: self._paused or self._unacknowledged >= HELD_BACK)

    def resumed(self) -> None:
        self._backlog.begin()

    def close(self) -> None:
        self._backlog.end()
        if self._settling is not None:
            self._settling.cancel()
            if (announced := self._owner.announced) is not None and not announced.is_saved:
                in_daemon_thread(announced.save, "save announcements").add_done_callback(_say_unsaved)
        super().close()

    def take_in(self, message: Message) -> None:
        self._unacknowledged += message.qos
        super().take_in(message)

    def has_room(self) -> bool:
        return self._unacknowledged < self._owner.unacknowledged_limit

    def deliver(self) -> None:
        if self.inbox:
            self._backlog.heard()
        while self.inbox:
            message = self.inbox.popleft()
            acknowledge = self._acknowledger(message.mid) if message.qos else None
            announced = self._owner.announced
            if announced is not None and announced.concerns(message.topic):
                self._take_announcement(announced, message, acknowledge)
            else:
                self._take_reading(message, acknowledge)
        if not self._paused and not self.has_room():
            self._paused = True
            self.pause_reading()

    def _take_reading(self, message: Message, acknowledge: Acknowledge | None) -> None:
        backlog = message.qos > 0 and self._backlog.is_coming
        self._listener.bytes_heard(message.payload, "" if message.retained else message.topic)
        for item in self._owner.read(message, acknowledge, backlog=backlog):
            self._listener.heard(item)
        known = message.topic in self._given_up or len(self._given_up) >= GIVEN_UP_LIMIT
        if not known and not self._owner.asks_for(message.topic):
            # The broker's session remembers it from before.
            self._given_up.add(message.topic)
            self.unsubscribe([message.topic])

    def _take_announcement(self, announced: Announced, message: Message, acknowledge: Acknowledge | None) -> None:
        """It is no reading and says nothing about the air, so it is handed on only where it is mistaken."""
        reason = announced.hear(message.topic, message.payload)
        if reason is not None:
            self._listener.heard(self._owner.refused(message, reason, acknowledge))
        elif acknowledge is not None:
            acknowledge()
        if self._settling is not None and self._settling.when() > self.loop.time() + SETTLE_S:
            self._settling.cancel()  # it waits for the disk; the news are followed now
            self._settling = None
        if self._settling is None:
            self._settling = self.loop.call_later(SETTLE_S, self._settle)

    def follow_announced(self) -> None:
        """Subscribe to what is announced by now and is not subscribed to yet, and to no more than that."""
        if self.ended.done():
            return
        wanted = self._owner.announced_topics()
        if more := sorted(wanted - self._followed):
            self.subscribe(more, needed=False)
        if gone := sorted(self._followed - wanted):
            self.unsubscribe(gone)
        self._followed = wanted

    def not_granted(self, topic: str, reason: str) -> None:
        announced = self._owner.announced
        if announced is not None and announced.is_news(topic, reason):
            message = Message(topic, b"", 0, retained=False, redelivered=False, mid=0)
            self.loop.call_soon(self._listener.heard, self._owner.refused(message, reason, None))

    def _settle(self) -> None:
        """Announcements come in a burst. They are kept first: what the broker holds for us by then must be readable
        after a restart."""
        self._settling = None
        announced = self._owner.announced
        if announced is not None:
            announced.settle()
        if announced is None or announced.is_saved:
            self._watch.guarded(self.follow_announced)
            return
        wait_s = self._owner.saved_s + SAVE_EVERY_S - self.loop.time()
        if wait_s > 0.0:  # something there changes all the time: a disk is not written to at every change
            self._watch.guarded(self.follow_announced)
            self._settling = self.loop.call_later(wait_s, self._settle)
            return
        self._owner.saved_s = self.loop.time()
        saving = in_daemon_thread(announced.save, "save announcements")
        saving.add_done_callback(self._saved)

    def _saved(self, saving: asyncio.Future[None]) -> None:
        # Better to hear them now and to be unable to read some of them after a restart than not to hear them.
        _say_unsaved(saving)
        self._watch.guarded(self.follow_announced)

    def _acknowledger(self, mid: int) -> Acknowledge:
        def acknowledge() -> None:
            if self.ended.done():  # another connection by now: there the broker sends it again
                return
            self.client.ack(mid, 1)
            self._unacknowledged -= 1
            if self._paused and self._unacknowledged < self._owner.unacknowledged_limit / 2:
                self._paused = False
                self.heard_s = self._resumed_s = self.loop.time()
                self.resume_reading()

        return acknowledge

    def each_second(self) -> None:
        now_s = self.loop.time()
        if self._paused:
            self.heard_s = now_s
        elif now_s - self._resumed_s >= self.client.keepalive:
            super().each_second()
            return
        # The answer to a ping may lie behind what is not read yet, and paho would take that for a dead link. So while
        # not reading, and a keepalive longer, another packet tells the broker that we live.
        if now_s - self._spoke_s >= self.client.keepalive / 2:
            self._spoke_s = now_s
            self.say_still_here()


def _say_unsaved(saving: asyncio.Future[None]) -> None:
    if (error := saving.exception()) is not None:
        logger.warning("What devices announced could not be kept: %s", error)
