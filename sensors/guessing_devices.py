"""Whether several devices write on one wire, told apart by a number or a name that is not measured."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from sensors.guess import Guess, Reason, shown

DEVICE_PATHS = ("device", "device_id", "sensor", "sensor_id", "node", "node_id", "mac", "addr", "address", "channel")
"""Keys at which gateways name the device that they heard, in small letters."""
_WHOLE = re.compile(r"\d{1,5}", re.ASCII)
COUNTED = 3
"""So many whole numbers that only grow are a count, not names."""


def is_name(raw: object) -> bool:
    """Whether a value can be a device's name: text, or a whole number."""
    if isinstance(raw, str):
        return 1 <= len(raw) <= 64 and raw.isprintable()
    return isinstance(raw, int) and not isinstance(raw, bool)


def varies(objects: Sequence[Mapping[str, object]], key: str) -> bool:
    """Whether it names more than one device."""
    return len({str(one[key]) for one in objects if is_name(one.get(key))}) > 1


def telling_key(objects: Sequence[Mapping[str, object]], read: Collection[str]) -> str | None:
    """A key that tells devices apart and is not among those that are ``read``."""
    keys = dict.fromkeys(key for one in objects for key in one if key not in read)
    telling = (*DEVICE_PATHS, "id", "name")
    return next((k for k in keys if k.rpartition(".")[2].lower() in telling and varies(objects, k)), None)


def device_column(cells: Sequence[Sequence[str]], free: Collection[int]) -> tuple[int | None, bool]:
    """Which of the ``free`` columns names the device, and whether that is so: whole numbers that come again do; of
    others that change, and are no count, it cannot be said."""
    for n in free:
        one = cells[n]
        if not all(map(_WHOLE.fullmatch, one)) or len(set(one)) == 1:
            continue
        if len(set(one)) < len(one):
            return n, True
        numbers = [int(cell) for cell in one]
        if len(numbers) < COUNTED or any(b <= a for a, b in pairwise(numbers)):
            return n, False
    return None, False


def warned(guess: Guess, place: str | None) -> Guess:
    """The guess, unsure where devices are told apart at ``place`` and it does not read that."""
    if place is None:
        return guess
    return replace(guess, sure="unsure", why=(*guess.why, Reason("guess-several-devices", {"place": shown(place)})))
