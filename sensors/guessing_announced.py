"""From announcements of devices at a broker (:mod:`sensors.discovery`) to the guess that takes them at their word."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from sensors.decoding import Unreadable
from sensors.discovered_names import names
from sensors.discovery import Discovered, discovered, read_state
from sensors.guess import Guess, Reason, shown
from sensors.meaning import Reading

_ANNOUNCEMENT = re.compile(r"(.+?)/[A-Za-z0-9_-]+(?:/[A-Za-z0-9_-]+){1,2}/config", re.ASCII | re.DOTALL)
_NOTHING = Reading(None, None, "sure")


def looks_announced(topic: str) -> bool:
    """Whether a topic is of the kind that announces a device, and so carries no reading."""
    return _ANNOUNCEMENT.fullmatch(topic) is not None


def guess_announced(said: Mapping[str, Sequence[bytes]]) -> Iterator[tuple[tuple[str, ...], Guess]]:
    """For each prefix with sensors of ours below it: the topics it covers, announcements and states, and the guess."""
    prefixes: dict[str, None] = {}
    for topic in said:
        if (match := _ANNOUNCEMENT.fullmatch(topic)) is not None:
            prefixes[match[1]] = None
    for prefix in prefixes:
        told = {topic: discovered(prefix, topic, heard[-1]) for topic, heard in said.items() if heard}
        announced = {topic: one for topic, one in told.items() if isinstance(one, Discovered)}
        if announced:
            states = {one.topic for one in announced.values()}
            yield (*announced, *sorted(states & said.keys())), _guess(prefix, announced, said)


def _guess(prefix: str, announced: Mapping[str, Discovered], said: Mapping[str, Sequence[bytes]]) -> Guess:
    called = names(announced)
    by_state: dict[str, list[tuple[str, Discovered]]] = {}
    for topic, one in announced.items():
        by_state.setdefault(one.topic, []).append((called[topic], one))
    read = heard = 0
    for state, there in by_state.items():
        for payload in said.get(state, ()):
            heard += 1
            try:
                read += bool(read_state(there, payload))
            except Unreadable:
                continue
    devices = tuple(dict.fromkeys(called[topic] for topic in sorted(announced)))
    why = [Reason("guess-announced", {"prefix": shown(prefix), "devices": len(devices)})]
    if heard:
        why.append(Reason("guess-read", {"read": read, "heard": heard}))
    return Guess({"discovery": prefix}, _NOTHING, devices, "sure" if read else "likely", tuple(why), read, heard)
