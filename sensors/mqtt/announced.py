"""The devices that announced themselves at one broker: which topics they bring, kept for the next start.

They are kept because the broker keeps our subscriptions: after a restart it sends what waited on those topics before it
sends the announcements again.
"""

from __future__ import annotations

import json
import logging
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from sensors.decoding import Decoded, TemperatureUnit, Unreadable
from sensors.discovered_names import names
from sensors.discovery import Discovered, discovered, filters, is_announcement, read_state
from sensors.state_file import write_whole

logger = logging.getLogger(__name__)

DISCOVERED_LIMIT = 200
TOLD_LIMIT = 500


@dataclass(frozen=True, slots=True)
class _Kept:
    """One announcement, and the device name it was given ("" in a file from before names were kept)."""

    payload: str
    name: str

    @classmethod
    def of(cls, told: str | dict[str, str]) -> _Kept:
        payload, name = (told, "") if isinstance(told, str) else (told["payload"], told["name"])
        if not isinstance(payload, str) or not isinstance(name, str) or not (name + " ").isprintable():
            raise TypeError("no announcement and its name")
        return cls(payload, name)


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
        self._called: dict[str, str] = {}
        self._given: dict[str, str] = {}
        self._saved = dict(_kept(path))
        for topic, kept in self._saved.items():
            self.hear(topic, kept.payload.encode("utf-8", "surrogatepass"))  # a file may say what no wire can
            if topic in self._known and kept.name:
                self._given[topic] = kept.name
        self._arrange()

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
        if self._known.get(topic) == found:
            return None  # what else a device says there (its version, when it was seen) changes nothing of ours
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
        self.settle()
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
        return self._path is None or self._worth_keeping() == self._saved

    def settle(self) -> None:
        """From here on every name stays: somebody may have placed a sensor by it. Before, while a burst of
        announcements comes, they depend on the order of nothing."""
        self._given = self._called

    def _worth_keeping(self) -> dict[str, _Kept]:
        payloads, called = dict(self._payloads), self._called  # copied: the loop goes on while a thread saves
        return {topic: _Kept(payload, called.get(topic, "")) for topic, payload in payloads.items()}

    def save(self) -> None:
        """Keep what is known: written aside, flushed, renamed. For a thread of its own. Raises OSError."""
        with self._saving:
            if self._path is None:
                return
            known = self._worth_keeping()  # taken here, so that of two that save the later one keeps the newer
            told = {topic: {"payload": kept.payload, "name": kept.name} for topic, kept in known.items()}
            write_whole(self._path, json.dumps(told, indent=1).encode())
            self._saved = known

    def forget(self) -> None:
        """The source is taken away: keep nothing of it. Raises OSError."""
        with self._saving:
            if self._path is not None:
                self._path.unlink(missing_ok=True)
            self._path = None

    def _forget(self, topic: str) -> None:
        if self._known.pop(topic, None) is not None:
            del self._payloads[topic]
            self._given = {other: name for other, name in self._given.items() if other != topic}
            self._arrange()

    def _arrange(self) -> None:
        self._called = called = names(self._known, self._given)
        self._by_topic = {}
        for announcement, one in self._known.items():
            self._by_topic.setdefault(one.topic, []).append((called[announcement], one))


def _kept(path: Path | None) -> Mapping[str, _Kept]:
    """What the file holds, by the topics of the announcements."""
    if path is None or not path.exists():
        return {}
    try:
        kept = json.loads(path.read_bytes())
        return {topic: _Kept.of(told) for topic, told in kept.items()}
    except (ValueError, TypeError, AttributeError, KeyError, RecursionError) as err:
        aside = path.with_suffix(".unreadable")
        path.replace(aside)
        logger.warning("%s was unreadable (%s) and is kept as %s; devices are announced again", path, err, aside)
        return {}
