"""What the band on top says: a title, a why, and a short sentence for far away, where every letter costs height."""

from __future__ import annotations

from dataclasses import dataclass

from server.reading import Aim, Alert
from server.words.of_alert import crossing, key_part, past_limit, silence, stem
from server.words.of_room import LONGEST_FAR_NAME, own_words
from server.words.sentence import Sentence, Value
from server.words.telling import Telling, limit, zone_of

FAR_LETTERS = 30


@dataclass(frozen=True, slots=True)
class BandWords:
    """The three sentences of a verdict."""

    title: Sentence
    why: Sentence
    far: Sentence


def band(stem_: str) -> BandWords:
    """Sentences without figures: ``store``, ``empty``, ``waiting``, ``quiet``."""
    return BandWords(Sentence(f"band-{stem_}-title"), Sentence(f"band-{stem_}-why"), Sentence(f"band-{stem_}-far"))


def alert_words(telling: Telling, alert: Alert) -> BandWords:
    """An alert nobody has seen yet: what is the matter, its figures, what to do."""
    if own := own_words(telling, alert):
        return BandWords(own.title, own.why, own.far)
    zone = telling.name(zone_of(alert))
    title = Sentence(f"band-{key_part(alert)}-title", {"zone": zone})
    if stem(alert) == "silent":
        why = silence(telling, alert, "band")
    elif stem(alert) == "falling":
        why = Sentence("band-falling-why", crossing(telling, alert))
    else:
        why = Sentence(f"band-{key_part(alert)}-why", past_limit(alert))
    return BandWords(title, why, far(f"band-{key_part(alert)}-far", zone))


def seen_words(telling: Telling, alert: Alert, worse_pct: float) -> BandWords:
    """An alert somebody has seen: that it still stands, in a calm voice."""
    zone = telling.name(zone_of(alert))
    at: dict[str, Value] = {"at": telling.at(alert.changed_ms)}
    why = Sentence("band-seen-plain-why", at)
    if own := own_words(telling, alert):
        return BandWords(own.title, why, own.far)
    if "past_limit_pct" in alert.values:
        why = Sentence("band-seen-why", {**at, "worse_pct": worse_pct})
    title = Sentence(f"band-{key_part(alert)}-seen-title", {"zone": zone})
    return BandWords(title, why, far(f"band-{key_part(alert)}-far", zone))


def shelved_words(telling: Telling, alert: Alert) -> BandWords:
    """An alert somebody put off. Whether it still stands is not said: it may have cleared meanwhile."""
    zone = telling.name(zone_of(alert))
    until_ms = alert.changed_ms if alert.shelved_until_ms is None else alert.shelved_until_ms
    if own := own_words(telling, alert):
        return BandWords(own.title, Sentence("band-put-off-why", {"at": telling.at(until_ms)}), own.far)
    title = Sentence("band-shelved-title", {"zone": zone, "at": telling.at(until_ms)})
    return BandWords(title, Sentence("band-shelved-why"), far("band-shelved-far", zone))


def outside_words(zone: str, emc_pct: float, aim: Aim) -> BandWords:
    """Air that has left its aim, not yet for long."""
    title = Sentence("band-outside-title", {"zone": zone})
    return BandWords(title, Sentence("band-outside-why", _figures(emc_pct, aim)), far("band-outside-far", zone))


def ready_words(zone: str, emc_pct: float, aim: Aim) -> BandWords:
    """All is well; ``zone`` is the one nearest to a limit."""
    why = Sentence("band-ready-why", {"zone": zone, **_figures(emc_pct, aim)})
    return BandWords(Sentence("band-ready-title"), why, Sentence("band-ready-far"))


def far(key: str, zone: str) -> Sentence:
    """The far sentence with the zone's name where it fits into 30 letters, else the one without."""
    return Sentence(f"{key}-short") if len(zone) > LONGEST_FAR_NAME else Sentence(key, {"zone": zone})


def _figures(emc_pct: float, aim: Aim) -> dict[str, Value]:
    return {"emc_pct": round(emc_pct, 1), "low": limit(aim.dry_limit_pct), "high": limit(aim.damp_limit_pct)}
