"""What a person may do to an alert: acknowledge it, shelve it for a while, take it off the shelf. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

from server.alerts.book import (
    AlertBook,
    AlertError,
    ShelfTime,
    UnknownAlert,
    WrongState,
    to_state,
    told_after,
)
from server.alerts.lifecycle import LONGEST_SHELF_H, how_long
from server.reading import Alert, AlertState

__all__ = ["AlertError", "ShelfTime", "UnknownAlert", "WrongState", "acknowledge", "shelve", "told_now", "unshelve"]

SHORTEST_SHELF_H = 0.25
Deed = Literal["acknowledge", "shelve", "unshelve"]
DEEDS: Mapping[AlertState, tuple[Deed, ...]] = {
    "unacknowledged": ("acknowledge", "shelve"),
    "acknowledged": ("shelve",),
    "returned": ("acknowledge",),
    "shelved": ("unshelve",),
    "suppressed": (),
    "normal": (),
}
"""What changes an alert in that state."""
PUT_AWAY = "put_away"
"""Among the values of an alert that went to normal because a person acknowledged its return."""


def acknowledge(book: AlertBook, alert_id: str, now_ms: int) -> tuple[AlertBook, Alert]:
    """Seen: unacknowledged becomes acknowledged, returned becomes normal. Twice is once.

    Raises UnknownAlert, and WrongState for one that is shelved or suppressed.
    """
    key, watch, alert = book.find(alert_id)
    if alert.state == "acknowledged":
        return book, alert
    if alert.state == "returned":
        seen = replace(alert, values={**alert.values, PUT_AWAY: 1})
        return book.with_watch(key, replace(watch, alert=None)), to_state(seen, "normal", now_ms)
    if alert.state != "unacknowledged":
        raise WrongState("alert", alert.state, "an alert that is unacknowledged or returned; unshelve this one first")
    after = to_state(alert, "acknowledged", now_ms)
    return book.with_watch(key, replace(watch, alert=after)), after


def shelve(book: AlertBook, alert_id: str, hours: float, *, now_ms: int, mono_s: float) -> tuple[AlertBook, Alert]:
    """Not now: it says nothing for ``hours`` (0.25..72), then comes back if it still stands. Again: a new time.

    Raises UnknownAlert, ShelfTime, and WrongState for one whose condition is over (acknowledge that one).
    """
    if not SHORTEST_SHELF_H <= hours <= LONGEST_SHELF_H:
        raise ShelfTime("hours", hours, f"{SHORTEST_SHELF_H:g} to {LONGEST_SHELF_H:g}")
    key, watch, alert = book.find(alert_id)
    if alert.state not in ("unacknowledged", "acknowledged", "shelved"):
        raise WrongState("alert", alert.state, "an alert that stands; acknowledge one that is over")
    after = to_state(alert, "shelved", now_ms, now_ms + round(hours * 3_600_000))
    return book.with_watch(key, replace(watch, alert=after, shelf_ends_s=mono_s + hours * 3600.0)), after


def unshelve(book: AlertBook, alert_id: str, *, now_ms: int, mono_s: float) -> tuple[AlertBook, Alert]:
    """Off the shelf before its time: unacknowledged if its condition still holds, else normal.

    Raises UnknownAlert, and WrongState for one that is not shelved.
    """
    key, watch, alert = book.find(alert_id)
    if alert.state != "shelved":
        raise WrongState("alert", alert.state, "an alert that is shelved")
    over = watch.active is False
    told = how_long(watch, now_ms, mono_s) if over else alert
    after = to_state(told, "normal" if over else "unacknowledged", now_ms)
    return book.with_watch(key, replace(watch, alert=None if over else after, shelf_ends_s=None)), after


def told_now(book: AlertBook, now_ms: int) -> tuple[AlertBook, list[Alert]]:
    """Somebody is there, whatever was told of being away: what came and went unseen is told, what still stands is kept
    back as before."""
    told = []
    for key, watch in book.watches.items():
        if watch.alert is not None and watch.alert.over_unseen:
            told.append((key, replace(watch, alert=told_after(watch.alert, now_ms))))
    for key, watch in told:
        book = book.with_watch(key, watch)
    return book, [watch.alert for _, watch in told if watch.alert is not None]
