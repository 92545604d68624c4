"""Between the values that cross the stages and the rows of the file: checked on the way in, whole on the way out."""

from __future__ import annotations

import json
import logging
from collections.abc import Callable, Iterable, Mapping
from math import isfinite
from typing import Any, TypeVar, get_args

from server.reading import (
    Alert,
    AlertState,
    Asks,
    Checkpoint,
    Flag,
    JournalEntry,
    Lean,
    Made,
    MadeKind,
    Reading,
    Refused,
    Word,
)
from server.reason import Reason

log = logging.getLogger(__name__)

T = TypeVar("T")
Row = tuple[Any, ...]
ReadingRow = tuple[int, float, int, float | None]
"""(t_ms, value, flags, raw)"""
END_MS = 253_370_764_800_000
"""9999-01-01 UTC: later times have no calendar here."""
CLOSED = "its hours before that are closed"
"""How the reason of a refused reading ends that was understood but came for a pruned hour."""


def reading_rows(readings: Iterable[Reading]) -> dict[str, list[ReadingRow]]:
    """Rows of each series in the order given. Raises :class:`ValueError` for what could not be read back the same."""
    by_series: dict[str, list[ReadingRow]] = {}
    for r in readings:
        t_ms, value, raw = r.t_ms, r.value, r.raw
        if not isinstance(t_ms, int) or not 0 <= t_ms < END_MS:
            check_time(f"reading of {r.series}", t_ms)
        if not isfinite(value) or not (raw is None or isfinite(raw)):
            raise ValueError(f"reading of {r.series}: found value {value}, raw {raw}; would be right: finite numbers")
        kept = None if raw is None or raw == value else float(raw)
        row = (t_ms, float(value), int(r.flags), kept)
        try:
            by_series[r.series].append(row)
        except KeyError:
            _check_series(r.series)
            by_series[r.series] = [row]
    return by_series


def checkpoint_row(one: Checkpoint) -> Row:
    """Raises :class:`ValueError` for a time that is none."""
    check_time(f"checkpoint of {one.lot!r}", one.at_ms)
    return one.at_ms, one.lot, one.state


def check_time(where: str, t_ms: int) -> None:
    """Raise :class:`ValueError` unless ``t_ms`` is a whole number of ms in 1970..9998."""
    if not isinstance(t_ms, int) or not 0 <= t_ms < END_MS:
        raise ValueError(f"{where}: found t_ms {t_ms!r}; would be right: whole ms since 1970 UTC, before the year 9999")


def _check_series(name: str) -> None:
    owner, _, quantity = name.rpartition("/")
    if not owner or not quantity or not name.isprintable():
        raise ValueError(f"series: found {name!r}; would be right: owner/quantity in printable characters")


def closed_row(name: str, raw_from_ms: int, row: ReadingRow) -> Row:
    """The row of ``refused`` for a reading that came for a closed hour: its whole row as JSON, and the reason."""
    reason = f"raw readings of {name} are kept from {raw_from_ms} ms on; {CLOSED}"
    return name.rpartition("/")[0], row[0], name, json.dumps(row).encode(), reason


def refused_rows(refused: Iterable[Refused]) -> list[Row]:
    """Rows (source, t_ms, place, payload, reason). Text that UTF-8 cannot hold is kept escaped."""
    rows: list[Row] = []
    for r in refused:
        check_time(f"refused payload from {r.source}", r.t_ms)
        rows.append((_text(r.source), r.t_ms, _text(r.where), bytes(r.payload), _text(r.reason)))
    return rows


def _text(text: str) -> str:
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def journal_row(entry: JournalEntry) -> Row:
    """(id, t_ms, kind, subject, data)."""
    where = f"journal entry {entry.id!r}"
    check_time(where, entry.t_ms)
    return entry.id, entry.t_ms, entry.kind, entry.subject, to_json(where, entry.data)


def to_journal_entry(row: Row) -> JournalEntry:
    """The other way round."""
    entry_id, t_ms, kind, subject, data = row
    return JournalEntry(entry_id, t_ms, kind, subject, json.loads(data))


def made_row(made: Made) -> Row:
    """(kind, id, data, made_ms)."""
    where = f"{made.kind} {made.id!r}"
    check_time(where, made.made_ms)
    return made.kind, made.id, to_json(where, made.data), made.made_ms


def to_made(row: Row) -> Made:
    """The other way round. Raises :class:`ValueError` for a kind there is not."""
    kind, made_id, data, made_ms = row
    if kind not in get_args(MadeKind):
        raise ValueError(f"made {made_id!r}: found {kind!r}; would be right: one of {', '.join(get_args(MadeKind))}")
    return Made(kind, made_id, json.loads(data), made_ms)


_WHY, _ASKS, _URGENT = "suppressed_by", "asks", "urgent"
"""Beside an alert's figures in its row: where it has one, where it does not ask now, and where it cannot wait."""


def alert_row(alert: Alert) -> Row:
    """(id, rule, subject, state, word, lean, raised_ms, changed_ms, shelved_until_ms, data)."""
    where = f"alert {alert.id!r}"
    check_time(where, alert.raised_ms)
    check_time(where, alert.changed_ms)
    times = (alert.raised_ms, alert.changed_ms, alert.shelved_until_ms)
    words = (alert.id, alert.rule, alert.subject, alert.state, alert.word, alert.lean)
    why = alert.suppressed_by
    reason = {} if why is None else {_WHY: {"key": why.key, "values": why.values}}
    asks = {} if alert.asks == "now" else {_ASKS: alert.asks}
    urgent = {_URGENT: 1} if alert.urgent else {}
    return *words, *times, to_json(where, {**alert.values, **reason, **asks, **urgent})


def to_alert(row: Row) -> Alert:
    """The other way round. Raises :class:`ValueError` for a state, word or lean there is not."""
    for found, known in zip(row[3:6], (get_args(AlertState), get_args(Word), get_args(Lean)), strict=True):
        if found not in known:
            raise ValueError(f"alert {row[0]!r}: found {found!r}; would be right: one of {', '.join(known)}")
    values = json.loads(row[-1])
    why, asks = _to_reason(row[0], values.pop(_WHY, None)), values.pop(_ASKS, "now")
    if asks not in get_args(Asks):
        raise ValueError(f"alert {row[0]!r}: found {asks!r}; would be right: one of {', '.join(get_args(Asks))}")
    urgent = bool(values.pop(_URGENT, 0))
    return Alert(*row[:-1], values=values, suppressed_by=why, asks=asks, urgent=urgent)  # type: ignore[misc]  # rows have no types


def _to_reason(alert_id: object, why: Any) -> Reason | None:
    if why is None:
        return None
    if not isinstance(why, dict) or why.keys() != {"key", "values"}:
        raise ValueError(f"alert {alert_id!r}: found {_WHY} {why!r}; would be right: a key and its values")
    return Reason(why["key"], why["values"])


def understood(make: Callable[[Row], T], found: Iterable[Row]) -> list[T]:
    """What each row means. One that a worn disk has changed must not take the others away: it is left out and told."""
    whole: list[T] = []
    for row in found:
        try:
            whole.append(make(row))
        except ValueError as error:
            log.warning("The record has a row that makes no sense and is left out: %s", error)
    return whole


def readable(raw: bytes) -> str:
    """Text as it lies in the file; bytes that are no UTF-8, as a worn disk makes them, escaped."""
    return raw.decode("utf-8", "backslashreplace")


def to_reading(series: str, row: ReadingRow) -> Reading:
    """The other way round."""
    t_ms, value, flags, raw = row
    return Reading(series, t_ms, value, Flag(flags), raw)


def to_json(where: str, data: Mapping[str, object]) -> str:
    """JSON text, ASCII, keys in the order given. Raises :class:`ValueError` naming ``where`` for what JSON lacks."""
    try:
        return json.dumps(data, allow_nan=False)
    except (TypeError, ValueError) as error:
        raise ValueError(
            f"{where}: found {data!r} ({error}); would be right: what JSON can hold, numbers finite"
        ) from error
