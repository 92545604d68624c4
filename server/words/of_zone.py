"""What is said about a zone: how old its last word is, its aim, its outlook."""

from __future__ import annotations

from collections.abc import Sequence

from server.reading import Aim, OutlookPoint, ZoneAir
from server.words.sentence import Sentence
from server.words.telling import Telling, limit

LEVEL_PCT = 0.3
"""An outlook that ends within this of now, in % EMC, is said to stay."""


def zone_age(age_s: float) -> Sentence:
    """How long ago the zone was heard, in the largest whole unit."""
    minutes = max(int(age_s // 60), 0)
    if minutes < 60:
        return Sentence("zone-age", {"minutes": minutes})
    if minutes < 24 * 60:
        return Sentence("zone-age-hours", {"hours": minutes // 60})
    return Sentence("zone-age-days", {"days": minutes // (24 * 60)})


def zone_heard(telling: Telling, heard_ms: int | None, last_known: tuple[float, float] | None = None) -> Sentence:
    """When the zone was last heard; before that, what a broker has kept of it (°C, % RH), if anything."""
    if heard_ms is None and last_known is not None:
        t_c, rh_pct = last_known
        return Sentence("zone-last-known", {"temperature_c": round(t_c, 1), "humidity_pct": round(rh_pct)})
    return Sentence("zone-never") if heard_ms is None else Sentence("zone-heard", {"at": telling.at(heard_ms)})


def aim_line(aim: Aim) -> Sentence:
    """The aim of the work that lies there."""
    values = {"low": limit(aim.dry_limit_pct), "high": limit(aim.damp_limit_pct), "destination": aim.destination}
    return Sentence("aim-line", values)


def outlook_note(telling: Telling, air: ZoneAir | None, outlook: Sequence[OutlookPoint]) -> Sentence | None:
    """Where the outlook ends, against now; None while there is air but no outlook yet."""
    if air is None:
        return Sentence("outlook-silent")
    if not outlook:
        return None
    last = outlook[-1]
    change_pct = last.emc_pct - air.emc_pct
    key = "outlook-stays" if abs(change_pct) < LEVEL_PCT else "outlook-rises" if change_pct > 0 else "outlook-note"
    return Sentence(key, {"emc_pct": round(last.emc_pct, 1), "day": telling.day(last.t_ms)})
