"""What a wire hands on: one sample of one device, or one payload that could not be read.

Everything is SI at this edge already: Fahrenheit has been converted, percent is percent.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
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
