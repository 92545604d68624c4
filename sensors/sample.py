"""What a wire hands on: one sample of one device, or one payload that could not be read.

Everything is SI at this edge already: Fahrenheit has been converted, percent is percent.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal

Quantity = Literal["temperature_c", "humidity_pct"]
QUANTITIES: tuple[Quantity, ...] = ("temperature_c", "humidity_pct")

Acknowledge = Callable[[], None]
"""Tells the wire that a sample is safe in the store. Called at most once, after the commit, on the event loop."""


@dataclass(frozen=True, slots=True)
class RawSample:
    """One message or line of one device, decoded but not yet believed.

    ``source`` is the id of the configured wire, ``device`` the name heard on it ("" where the wire carries one unnamed
    device). ``values`` holds each quantity once. ``heard_ms`` is the wall clock in ms since 1970 UTC when the bytes
    came, ``heard_mono_s`` the monotonic clock then, ``own_ms`` the time the payload itself states, if it does.
    ``retained`` marks a last-known value replayed by a broker, ``redelivered`` one the broker sends again,
    ``backlog`` one that waited at the broker while we were away: both were measured earlier than they were heard.
    ``heating`` says that the sensor's own heater ran.
    """

    source: str
    device: str
    values: tuple[tuple[Quantity, float], ...]
    heard_ms: int
    heard_mono_s: float
    own_ms: int | None = None
    retained: bool = False
    redelivered: bool = False
    backlog: bool = False
    acknowledge: Acknowledge | None = field(default=None, compare=False, repr=False)
    heating: bool = False


@dataclass(frozen=True, slots=True)
class RefusedPayload:
    """Bytes that are no sample: kept with the reason, then acknowledged, so that one bad payload blocks nothing."""

    source: str
    where: str
    payload: bytes
    reason: str
    heard_ms: int
    acknowledge: Acknowledge | None = field(default=None, compare=False, repr=False)


Heard = RawSample | RefusedPayload

REFUSED_BYTES, REFUSED_CHARACTERS = 4096, 1000
"""Kept of a refused payload, and of its topic and reason: enough to see what it is. A picture that comes by mistake
every second would fill the disk."""


def bounded(item: Heard) -> Heard:
    """The same, with no more of a refused payload than is kept; the reason says how long it was."""
    if isinstance(item, RawSample):
        return item
    where, reason, length = item.where, item.reason, len(item.payload)
    if max(len(where), len(reason)) <= REFUSED_CHARACTERS and length <= REFUSED_BYTES:
        return item
    if length > REFUSED_BYTES:
        reason = f"{reason[: REFUSED_CHARACTERS - 80]} (of {length} bytes the first {REFUSED_BYTES} are kept)"
    return replace(
        item,
        where=where[:REFUSED_CHARACTERS],
        reason=reason[:REFUSED_CHARACTERS],
        payload=item.payload[:REFUSED_BYTES],
    )
