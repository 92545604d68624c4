"""What the engine tells of itself: what it has done, and what it knows at one moment."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from server.alerts.marks import Marks
from server.clock import Instant
from server.reading import Alert
from server.rules.spans import Span
from server.snapshot import ZoneNow


@dataclass(slots=True)
class Counts:
    """What the engine has done since the start."""

    turns: int = 0
    readings: int = 0
    store_error: str = ""
    clock_jumps: int = 0
    """How often the wall clock was set or stepped."""
    clock_moved_by_ms: int = 0
    """By how much the labels of this start were moved when the clock became set."""


@dataclass(frozen=True, slots=True)
class EngineState:
    """What the spine knows at one moment."""

    now: Instant
    zones: Sequence[ZoneNow]
    alerts: Sequence[Alert]
    store_error: str
    marks: Mapping[str, Marks] = field(default_factory=dict)
    """By alert."""
    recent: Sequence[Alert] = ()
    """The last changes of alerts, oldest first."""
    away: Sequence[Span] = ()
    """The times in which nobody is there, as told."""
