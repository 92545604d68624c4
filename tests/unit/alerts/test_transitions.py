"""Any sequence of findings, deeds and restarts takes only legal ways between states.

The legal ones are those of the alarm state diagram in ISA-18.2 / IEC 62682 (from memory; no copy was read).
"""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from server.alerts.book import AlertBook, AlertError
from server.alerts.lifecycle import apply
from server.alerts.shelving import acknowledge, shelve, unshelve
from server.reading import Alert, Finding
from server.reason import Reason

LEGAL = {
    ("normal", "unacknowledged"),
    ("unacknowledged", "acknowledged"),
    ("unacknowledged", "returned"),
    ("acknowledged", "normal"),
    ("acknowledged", "unacknowledged"),  # ours: markedly worse is said again
    ("returned", "normal"),
    ("returned", "unacknowledged"),
    ("unacknowledged", "shelved"),
    ("acknowledged", "shelved"),
    ("shelved", "shelved"),
    ("shelved", "unacknowledged"),
    ("shelved", "normal"),
    ("unacknowledged", "unacknowledged"),  # a step further past the limit
    ("normal", "suppressed"),
    ("unacknowledged", "suppressed"),
    ("acknowledged", "suppressed"),
    ("returned", "suppressed"),
    ("shelved", "suppressed"),
    ("suppressed", "suppressed"),  # for another reason
    ("suppressed", "unacknowledged"),
    ("suppressed", "normal"),
}
REASONS = {"": None, "one": Reason("one", {}), "two": Reason("two", {})}
HOLDS = st.sampled_from(["raise", "clear", "neither"])
FINDING = st.tuples(HOLDS, st.floats(0.0, 3.0), st.floats(0.0, 7200.0), st.sampled_from(list(REASONS)))
DEED = st.sampled_from(["acknowledge", "shelve", "unshelve", "restart", "wait"])


@settings(deadline=None)
@given(st.lists(st.tuples(FINDING, DEED), max_size=40))
def test_only_legal_transitions(story: list[tuple[tuple[str, float, float, str], str]]) -> None:
    book, at, was = AlertBook(), 0.0, "normal"
    for (holds, past_pct, seconds, why), deed in story:
        at += seconds
        found = replace(finding(holds, past_pct), suppressed_by=REASONS[why])
        book, changes = apply(book, [found], round(at * 1000), at)
        book, done = do(book, deed, at)
        for change in [*changes, *done]:
            assert (was, change.state) in LEGAL
            was = change.state
            assert (change.suppressed_by is not None) is (was == "suppressed")
            assert ("stood_s" in change.values) is (was in ("returned", "normal"))
        assert [alert.state for alert in book.alerts] == ([] if was == "normal" else [was])


def finding(holds: str, past_pct: float) -> Finding:
    values: dict[str, float | int | str] = {"past_limit_pct": round(past_pct, 1)}
    return Finding("r", "s", holds == "raise", holds == "clear", "look", "dry", values, 1800.0, 3600.0)


def do(book: AlertBook, deed: str, at: float) -> tuple[AlertBook, list[Alert]]:
    if deed == "restart":
        return AlertBook.restore(book.alerts), []
    if deed == "wait" or not book.alerts:
        return book, []
    (before,) = book.alerts
    try:
        if deed == "acknowledge":
            book, after = acknowledge(book, before.id, round(at * 1000))
        elif deed == "shelve":
            book, after = shelve(book, before.id, 1.0, now_ms=round(at * 1000), mono_s=at)
        else:
            book, after = unshelve(book, before.id, now_ms=round(at * 1000), mono_s=at)
    except AlertError:
        return book, []
    return book, [] if after == before else [after]
