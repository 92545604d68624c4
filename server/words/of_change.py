"""What is said of a change of an alert when it goes out: raised, seen, put aside, or back after how long."""

from __future__ import annotations

from server.reading import Alert
from server.words.of_alert import alert_why, given
from server.words.sentence import Sentence
from server.words.telling import Telling


def change_text(telling: Telling, change: Alert) -> Sentence:
    """The change in a sentence, to be said after the alert's title."""
    match change.state:
        case "acknowledged":
            return Sentence("change-seen")
        case "shelved" if change.shelved_until_ms is not None:
            return Sentence("change-shelved", {"at": telling.at(change.shelved_until_ms)})
        case "returned" | "normal" if stood := given(change, stood_s="stood_s"):
            return Sentence(f"change-{_went(change)}", stood)
        case "returned" | "normal" | "shelved":  # written by an older version, or by hand
            return Sentence("change-over")
        case _:
            return alert_why(telling, change)


def change_stood_s(change: Alert) -> int | None:
    """How long the condition had stood when it went; None while it stands."""
    stood_s = change.values.get("stood_s")
    return int(stood_s) if change.state in ("returned", "normal") and isinstance(stood_s, int | float) else None


def _went(change: Alert) -> str:
    if "put_away" in change.values:
        return "put-away"
    return "unwatched" if "unwatched" in change.values else "back"
