"""Brings what a salvage has lost back from a copy of the record: the lost readings as they were, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

from server.clock import Clock
from server.reading import JournalEntry
from server.stores.backup import check_copy
from server.stores.catalog import open_store
from server.stores.port import History, Store, StoreError
from server.stores.sqlite_file import FILE_NAME
from server.stores.sqlite_history import SqliteHistory

Span = tuple[str, int, int]
"""Series, from and to, which is not of it."""
_A_TIME_MS = 86_400_000


async def refill(state: Path, copy: Path, clock: Clock) -> int:
    """How many readings came back. Those of the spans that the journal's salvages name, which ``copy`` has and the
    record has not; what came since stays, so it may be done again, and with another copy. The server must not run.

    Raises :class:`StoreError` where no salvage named anything or the copy is none, and below (StoreBusy, StoreDamaged,
    StoreFull): what was brought back until then stays.
    """
    _look_at(copy)
    timezone = SqliteHistory(state / FILE_NAME).setting("timezone")
    store, history = open_store(state, timezone or "UTC", clock)
    try:
        spans = list(_missing(history))
        if not spans:
            raise StoreError(f"{state}: found no salvage that named anything missing; would be right: one that did")
        old, count = SqliteHistory(copy), 0
        there = set(old.series_names())
        for span in spans:
            if span[0] in there:
                count += await _refill_one(store, history, old, span)
        await store.add_journal([_entry(copy, count, clock.now().wall_ms)])
        return count
    finally:
        await store.close()


def _look_at(copy: Path) -> None:
    if not copy.is_file():
        raise StoreError(f"{copy}: found no file; would be right: a copy that stillstack store backup made")
    check_copy(copy)


async def _refill_one(store: Store, history: History, old: History, span: Span) -> int:
    series, start, end = span
    held = {r.t_ms for r in history.readings(series, start, end, good_only=False)}
    lost = [r for r in old.readings(series, start, end, good_only=False) if r.t_ms not in held]
    if not lost:
        return 0
    await store.append(lost)
    return len(history.readings(series, start, end, good_only=False)) - len(held)  # one for a closed hour is refused


def _missing(history: History) -> Iterator[Span]:
    """A day at a time: a span may reach over years."""
    for entry in history.journal("salvaged"):
        missing = entry.data.get("missing")
        for series, spans in missing.items() if isinstance(missing, dict) else ():
            for first, last in spans:
                for start in range(first, last + 1, _A_TIME_MS):
                    yield series, start, min(start + _A_TIME_MS, last + 1)


def _entry(copy: Path, count: int, now_ms: int) -> JournalEntry:
    name = str(uuid5(NAMESPACE_URL, f"{copy.name}:{now_ms}:{count}"))
    return JournalEntry(name, now_ms, "refilled", "record", {"file": copy.name, "rows": count})
