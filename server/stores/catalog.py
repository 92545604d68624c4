"""The kinds of store there are. A new one is one file and one line here."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from server.clock import Clock, SystemClock
from server.reading import Made
from server.stores.port import History, Store, StoreError
from server.stores.sqlite import SqliteStore
from server.stores.sqlite_file import FILE_NAME
from server.stores.sqlite_history import SqliteHistory


def _sqlite(folder: Path, timezone: str, clock: Clock) -> tuple[Store, History]:
    store = SqliteStore(folder, timezone, clock)
    return store, SqliteHistory(store.path)


STORES: dict[str, Callable[[Path, str, Clock], tuple[Store, History]]] = {"sqlite": _sqlite}


def open_store(folder: Path, timezone: str, clock: Clock | None = None, kind: str = "sqlite") -> tuple[Store, History]:
    """Take the state folder and open the record in it; both sides of it, for writing and for reading.

    ``timezone`` is an IANA name and says where days begin; days of a file kept in another zone are made again.
    ``clock`` dates migrations, corrections and commands (the machine's own if None). Blocks for the file's check: call
    it at start; a damaged file is salvaged there. Raises :class:`~server.stores.port.StoreBusy`,
    :class:`~server.stores.port.StoreFull`, :class:`~server.stores.port.StoreError`, :class:`ValueError`.
    """
    if kind not in STORES:
        raise ValueError(f"kind of store: found {kind!r}; would be right: {' or '.join(map(repr, STORES))}")
    return STORES[kind](folder, timezone, SystemClock() if clock is None else clock)


def made_in(folder: Path) -> list[Made]:
    """What people made at the wall, looked at before the record is opened. Nothing where there is no record yet, or one
    that only opening it makes whole."""
    file = folder / FILE_NAME
    if not file.exists():
        return []
    try:
        return SqliteHistory(file).made()
    except StoreError:
        return []
