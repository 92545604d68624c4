"""Where a sensor stands is a journal entry: written when the configuration first names it, and again when it moves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from server.config import Sensor
from server.reading import JournalEntry


def placed_entries(sensors: Iterable[Sensor], so_far: Sequence[JournalEntry], now_ms: int) -> list[JournalEntry]:
    """Entries for every sensor whose zone is not the one last written down. The id makes writing it twice harmless."""
    last = {entry.subject: str(entry.data.get("zone")) for entry in sorted(so_far, key=lambda e: e.t_ms)}
    return [
        JournalEntry(f"placed:{s.id}:{s.zone}:{now_ms}", now_ms, "placed", s.id, {"zone": s.zone, "source": s.source})
        for s in sensors
        if last.get(s.id) != s.zone
    ]


def taken_down_entries(sensors: Iterable[Sensor], now_ms: int) -> list[JournalEntry]:
    """Entries for sensors that hang nowhere any more: placed in no zone."""
    nowhere: dict[str, object] = {"zone": None, "source": None}
    return [JournalEntry(f"placed:{s.id}::{now_ms}", now_ms, "placed", s.id, nowhere) for s in sensors]
