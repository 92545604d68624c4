"""By which name a sensor of the configuration finds a device that announced itself."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from sensors.discovery import Discovered


def names(announced: Mapping[str, Discovered], given: Mapping[str, str] | None = None) -> dict[str, str]:
    """The device name of each announcement, both by the announcement's topic.

    Devices without identifiers that share a name are told apart by what they differ in, behind a point. A device that
    measures one quantity twice (the room's temperature and its own chip's) may not mix them either: the one with the
    plainest object id has the device's name, the others theirs behind a point. A name in ``given`` stays; for what is
    new it depends on what is announced, not on the order in which that came.
    """
    called = {topic: name for topic, name in (given or {}).items() if topic in announced}
    new = announced.keys() - called.keys()
    for topic in sorted(new, key=lambda t: (len(announced[t].object_id), announced[t].object_id, t)):
        called[topic] = _name(topic, announced, called)
    return called


def _name(topic: str, announced: Mapping[str, Discovered], called: Mapping[str, str]) -> str:
    one = announced[topic]
    base = _base(one, announced, called)
    taken = {name for other, name in called.items() if announced[other].quantity == one.quantity}
    more = (f"{base}.{one.object_id}", f"{base}.{_word(topic.split('/')[-3])}.{one.object_id}")
    return next(name for name in _numbered(base, *more) if name not in taken)


def _base(one: Discovered, announced: Mapping[str, Discovered], called: Mapping[str, str]) -> str:
    """What the names of one device begin with: as it is called already, else the first that no other device has."""
    mine: set[str] = set()
    others: set[str] = set()
    for topic, name in called.items():
        other = announced[topic]
        is_same = (other.device, other.twin) == (one.device, one.twin)
        (mine if is_same else others).update({name, name.removesuffix(f".{other.object_id}")})
    candidates = [one.device, f"{one.device}.{_word(one.twin)}"] if one.twin else [one.device]
    for base in candidates:
        if base in mine and base not in others:
            return base
    return next(base for base in _numbered(*candidates) if base not in others)


def _word(text: str) -> str:
    """A node id, or the last levels of a topic, as a part of a name."""
    return re.sub(r"[^\w-]+", "-", text.removesuffix("/"))[-32:].strip("-") or "other"


def _numbered(*names: str) -> Iterator[str]:
    """These, and then the last of them with numbers behind."""
    yield from names
    n = 2
    while True:
        yield f"{names[-1]}-{n}"
        n += 1
