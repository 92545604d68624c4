"""What is said about an alert of a lot, or of the shop's lots together: what to do, and why."""

from __future__ import annotations

from collections.abc import Mapping

from server.reading import Alert
from server.words.keys_of_lot_alerts import LOT_ALERTS
from server.words.of_instrument import InstrumentWords as OwnWords
from server.words.sentence import Sentence, Value
from server.words.telling import Telling

LONGEST_FAR_NAME = 15
"""A longer name, of a zone too, is left out of far sentences."""
OVER = ("returned", "normal")
OF_THE_SHOP = ("lots-unconfirmed", "away")


def lot_words(telling: Telling, alert: Alert) -> OwnWords | None:
    """The sentences; None for an alert that is about no lot."""
    asked = _ASKED.get(alert.rule)
    if asked is None:
        return None
    title, why = asked
    return OwnWords(
        Sentence(f"alert-{alert.rule}-title", _given(telling, alert, title))
        if alert.state not in OVER
        else _was(alert),
        Sentence(f"alert-{alert.rule}-why", _given(telling, alert, why)),
        _far(alert),
    )


def _was(alert: Alert) -> Sentence:
    """What was the matter: a deed that nobody has to do any more is not asked for."""
    return Sentence("alert-lot-over-title", {"name": str(alert.values.get("name", alert.subject)), "rule": alert.rule})


def lot_caution(alert: Alert) -> str | None:
    """The key of the caution beside it, that of the question of the lot which asks for the same."""
    if alert.rule in {"lot-checks", "lot-cup", "milled-open", "wrap-sweating", "away"}:
        return "lot-caution-stop"
    if alert.rule == "panel-cures":
        return "caution-adhesive"
    return "lot-caution-mill" if alert.rule in {"lot-good", "panel-flat", "clearance-used"} else None


def is_of_lot(alert: Alert) -> bool:
    """Whether it is about a lot, or about the shop's lots."""
    return alert.rule in _ASKED


def _far(alert: Alert) -> Sentence:
    if alert.rule in OF_THE_SHOP:
        return Sentence(f"band-{alert.rule}-far")
    name = str(alert.values.get("name", alert.subject))
    short = len(name) > LONGEST_FAR_NAME
    return Sentence(f"band-{alert.rule}-far-short") if short else Sentence(f"band-{alert.rule}-far", {"name": name})


def _given(telling: Telling, alert: Alert, names: tuple[str, ...]) -> dict[str, Value]:
    """Figures under the names that a sentence has for them; one that an older version did not keep is left out."""
    found: dict[str, Value] = {}
    for name in names:
        key = _MOMENTS.get((alert.rule, name))
        if key is not None:
            if key in alert.values:
                found[name] = telling.at(int(alert.values[key]))
        elif name == "room":
            found[name] = telling.name(str(alert.values.get("zone", "")))
        elif name == "to_zone":
            found[name] = telling.name(str(alert.values.get(name, alert.values.get("zone", ""))))
        elif name in alert.values:
            found[name] = alert.values[name]
    return found


_MOMENTS: Mapping[tuple[str, str], str] = {
    ("lot-cup", "at"): "by_ms", ("milled-open", "at"): "by_ms", ("wrap-sweating", "at"): "at_ms",
    ("away", "from"): "from_ms", ("away", "to"): "to_ms", ("panel-cures", "at"): "at_ms",
    ("panel-cures", "off"): "off_ms", ("panel-flat", "at"): "rested_since_ms", ("clearance-used", "at"): "at_ms",
}  # fmt: skip
_RULES = (
    "lot-checks", "lot-cup", "milled-open", "lots-unconfirmed", "wrap-sweating", "lot-good", "away", "panel-cures",
    "panel-flat", "clearance-used",
)  # fmt: skip
_ASKED: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    rule: (LOT_ALERTS[f"alert-{rule}-title"], LOT_ALERTS[f"alert-{rule}-why"]) for rule in _RULES
}
"""Rule to what its title and its reason ask for. A new rule about lots is a name here and its sentences."""
