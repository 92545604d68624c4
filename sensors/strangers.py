"""A bound on devices that nobody has placed: one whose name changes with every message would fill the record."""

from __future__ import annotations

import json
from collections.abc import Iterable

from sensors.sample import Heard, RawSample, RefusedPayload

STRANGERS = 50
"""Names without a place that are kept of one wire in one run; a person who looks for a new sensor reads fewer."""


class Strangers:
    """Called with what a wire heard; gives it back, or as refused when it names one stranger too many.

    ``placed`` are the device names the configuration gives a sensor; an empty one takes every device of the wire. What
    is refused keeps its way to the broker's acknowledgement.
    """

    def __init__(self, placed: Iterable[str], limit: int = STRANGERS) -> None:
        self._placed = frozenset(placed)
        self._limit = limit
        self._known: set[str] = set()

    def __call__(self, item: Heard) -> Heard:
        if not isinstance(item, RawSample) or "" in self._placed or item.device in self._placed | self._known:
            return item
        if len(self._known) < self._limit:
            self._known.add(item.device)
            return item
        reason = (
            f"found one more device without a place, after {self._limit} others; "
            "would be right: devices that keep their names, and a sensor in the configuration for each"
        )
        said = json.dumps({"id": item.device, **dict(item.values)}).encode()
        return RefusedPayload(item.source, item.device, said, reason, item.heard_ms, item.acknowledge)
