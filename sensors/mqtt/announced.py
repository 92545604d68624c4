"""The devices that announced themselves at one broker: which topics they bring, kept for the next start.

They are kept because the broker keeps our subscriptions: after a restart it sends what waited on those topics before it
sends the announcements again.
"""

from __future__ import annotations

import json
import logging
import os
import threading
from collections.abc import Mapping
from pathlib import Path

from sensors.decoding import Decoded, TemperatureUnit, Unreadable
from sensors.discovery import Discovered, discovered, filters, is_announcement, names, read_state

logger = logging.getLogger(__name__)

DISCOVERED_LIMIT = 200
TOLD_LIMIT = 500


class Announced:
    """What is known from announcements below ``prefix``. ``path`` is the file they are kept in, None to keep none.

    A file that cannot be read is kept aside, and what stands in it is announced again by itself.
    """

    def __init__(
        self,
        prefix: str,
        path: Path | None = None,
        *,
        temperature_unit: TemperatureUnit = "C",
        limit: int = DISCOVERED_LIMIT,
    ) -> None:
        self.prefix = prefix
        self._path, self._unit, self._limit = path, temperature_unit, limit
        self._payloads: dict[str, str] = {}
        self._known: dict[str, Discovered] = {}
        self._by_topic: dict[str, list[tuple[str, Discovered]]] = {}
        self._told: set[tuple[str, str]] = set()
        self._saving = threading.Lock()
        self._saved = dict(_kept(path))
        for topic, payload in self._saved.items():
            self.hear(topic, payload.encode("utf-8", "surrogatepass"))  # a file may say what no wire can

    @property
    def filters(self) -> tuple[str, str]:
        """Where announcements come."""
        return filters(self.prefix)

    @property
    def topics(self) -> frozenset[str]:
        """Where the announced states come; each is one topic, no wildcard."""
        return frozenset(self._by_topic)

    def brings(self, topic: str) -> bool:
        """Whether ``topic`` is one of :attr:`topics`."""
        return topic in self._by_topic

    def concerns(self, topic: str) -> bool:
        """Whether a message on ``topic`` is an announcement, and so no reading."""
        return is_announcement(self.prefix, topic)

    def hear(self, topic: str, payload: bytes) -> str | None:
        """One announcement, heard for the first time or again. Why it is to be told as refused, None if it is not:
        announcements are repeated at every connection, the reason is not."""
        found = discovered(self.prefix, topic, payload)
        if not isinstance(found, Discovered):
            self._forget(topic)
            return found.reason if found.kind == "mistaken" and self.is_news(topic, found.reason) else None
        if topic not in self._known and len(self._known) >= self._limit:
            reason = (
                f"found one more announced quantity after {self._limit} others; would be right: devices that take back "
                "what they no longer measure, or topics of the configuration"
            )
            return reason if self.is_news(topic, reason) else None
        self._known[topic], self._payloads[topic] = found, payload.decode()
        self._arrange()
        return None

    def is_news(self, topic: str, reason: str) -> bool:
        """Whether that was not told since the start."""
        if (topic, reason) in self._told or len(self._told) >= TOLD_LIMIT:
            return False
        self._told.add((topic, reason))
        return True

    def read(self, topic: str, payload: bytes) -> list[Decoded]:
        """A message on an announced topic, one sample a device. Raises :class:`sensors.decoding.Unreadable`."""
        announced = self._by_topic.get(topic)
        if announced is None:
            raise Unreadable(
                f"found topic {topic[:80]!r}, which nothing announces; would be right: one announced at "
                f"{' or '.join(self.filters)}"
            )
        return read_state(announced, payload, self._unit)

    @property
    def is_saved(self) -> bool:
        """Whether the file holds what is known."""
        return self._path is None or self._payloads == self._saved

    def save(self) -> None:
        """Keep what is known: written aside, flushed, renamed. For a thread of its own. Raises OSError."""
        if self._path is None:
            return
        aside = self._path.with_suffix(".new")
        with self._saving:
            known = dict(self._payloads)  # taken here, so that of two that save the later one keeps the newer
            self._path.parent.mkdir(parents=True, exist_ok=True)
            with aside.open("w", encoding="utf-8") as file:
                json.dump(known, file, indent=1)
                file.flush()
                os.fsync(file.fileno())
            aside.replace(self._path)
            self._saved = known

    def forget(self) -> None:
        """The source is taken away: keep nothing of it. Raises OSError."""
        if self._path is not None:
            self._path.unlink(missing_ok=True)

    def _forget(self, topic: str) -> None:
        if self._known.pop(topic, None) is not None:
            del self._payloads[topic]
            self._arrange()

    def _arrange(self) -> None:
        called = names(self._known)
        self._by_topic = {}
        for announcement, one in self._known.items():
            self._by_topic.setdefault(one.topic, []).append((called[announcement], one))


def _kept(path: Path | None) -> Mapping[str, str]:
    """The announcements in the file, by their topics."""
    if path is None or not path.exists():
        return {}
    try:
        kept = json.loads(path.read_bytes())
        if not isinstance(kept, dict) or not all(isinstance(payload, str) for payload in kept.values()):
            raise ValueError("no object of texts")
    except ValueError as err:
        aside = path.with_suffix(".unreadable")
        path.replace(aside)
        logger.warning("%s was unreadable (%s) and is kept as %s; devices are announced again", path, err, aside)
        return {}
    return kept
