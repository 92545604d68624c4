"""Where a sensor stands and which device it is, is a journal entry: written when the configuration first names it, and
again when it moves, is replaced, or another offset is given to it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from server.config import Sensor
from server.reading import JournalEntry


def placed_entries(sensors: Iterable[Sensor], so_far: Sequence[JournalEntry], now_ms: int) -> list[JournalEntry]:
    """Entries for every sensor that is not as it was last written down. The id makes writing it twice harmless."""
    last = {entry.subject: entry.data for entry in sorted(so_far, key=lambda e: e.t_ms)}
    return [
        JournalEntry(f"placed:{s.id}:{s.zone}:{now_ms}", now_ms, "placed", s.id, placed)
        for s in sensors
        if last.get(s.id) != (placed := {"zone": s.zone, **s.identity})
    ]


def taken_down_entries(sensors: Iterable[Sensor], now_ms: int) -> list[JournalEntry]:
    """Entries for sensors that hang nowhere any more: placed in no zone."""
    nowhere: dict[str, object] = {"zone": None, "source": None}
    return [JournalEntry(f"placed:{s.id}::{now_ms}", now_ms, "placed", s.id, nowhere) for s in sensors]
