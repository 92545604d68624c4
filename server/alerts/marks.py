"""What is noted beside an alert that stands: that it has stood for too long (stale), or that it comes and goes
(chattering). Terms of ISA-18.2 / IEC 62682, from memory; no copy was read. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from server.alerts.book import RAISES_KEPT_S, AlertBook, Key, Watch
from server.reading import Alert, AlertState

STALE_S = 86_400.0
"""An alert that has been shown without a break for longer is stale (the standards': more than a day; memory)."""
CHATTER_RAISES = 3
CHATTER_S = RAISES_KEPT_S
"""So many raises within so long are chatter on the wall. Ours, common practice, no source: three raises in a minute,
as the standards count in a plant, cannot be where a limit waits half an hour. The report counts those too."""
SHOWN: frozenset[AlertState] = frozenset({"unacknowledged", "acknowledged"})
"""States in which an alert is before people's eyes because its condition is present."""


@dataclass(frozen=True, slots=True)
class Marks:
    """``raises`` counts those of the last :data:`CHATTER_S`."""

    stale: bool = False
    chattering: bool = False
    raises: int = 1


def marks_of(book: AlertBook, mono_s: float) -> dict[str, Marks]:
    """By the id of every alert that is not normal."""
    return {watch.alert.id: _marks(watch, watch.alert, mono_s) for watch in book.watches.values() if watch.alert}


def _marks(watch: Watch, alert: Alert, mono_s: float) -> Marks:
    raises = sum(at_s > mono_s - CHATTER_S for at_s in watch.raises)
    shown = alert.state in SHOWN and alert.asks != "nothing"  # news asks for no mending
    shown_s = mono_s - watch.raised_s if watch.raised_s is not None and shown else 0.0
    return Marks(shown_s > STALE_S, raises >= CHATTER_RAISES, raises)


def is_raise(change: Alert) -> bool:
    """Whether a change of the log is the raise of its alert, not a later step of it."""
    return change.state in ("unacknowledged", "suppressed") and change.changed_ms == change.raised_ms


def raises_of(changes: Iterable[Alert], now_ms: int, mono_s: float) -> dict[Key, tuple[float, ...]]:
    """When each alert was raised, on the monotonic clock (below 0 before its start), from the changes of the log."""
    found: dict[Key, list[float]] = defaultdict(list)
    for change in changes:
        if is_raise(change):
            found[change.rule, change.subject].append(mono_s - (now_ms - change.changed_ms) / 1000.0)
    return {key: tuple(times) for key, times in found.items()}
