"""The closing round: which lots are open at the end of a day, and what an answer about each comes to.

A lot is open whose lying may have changed today, or matters tonight: one that was freshly milled, lies one face down,
was in somebody's hands today, or is past the time for which a word about it holds. Wood that rests on its stickers
where it was last seen is not asked about every evening: who is asked about everything soon touches without looking.
Nor is one that was already confirmed today after all that was done to it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from types import MappingProxyType
from typing import Literal
from zoneinfo import ZoneInfo

from server.shop.confirmed import freshly_milled, holds_until_ms
from server.shop.deed import Lying
from server.shop.entries import Confirmed, Entry, Laid, LotDeed, Moved
from server.shop.journal import NotPossible
from server.shop.lot import Lot
from server.shop.lots import Shop

Why = Literal["unconfirmed", "milled", "one-face", "touched"]
Said = Literal["as-it-was", "opened", "moved", "not-seen"]


@dataclass(frozen=True, slots=True)
class Answer:
    """What is said of one lot: for ``moved`` where to, and how it lies there if otherwise; ``t_ms`` is since when, if
    that is known and it was before the round."""

    lot: str
    said: Said
    zone: str | None = None
    lying: Lying | None = None
    t_ms: int | None = None


def open_lots(shop: Shop, now_ms: int, timezone: str) -> Iterator[tuple[Lot, Why]]:
    """Those that are open at a moment, by id, and why; see the module."""
    now = datetime.fromtimestamp(now_ms / 1000, UTC).astimezone(ZoneInfo(timezone))
    today_ms = round(now.replace(hour=0, minute=0, second=0, microsecond=0).timestamp() * 1000)
    for _, lot in sorted(shop.lots.items()):
        if lot.ended:
            continue
        if holds_until_ms(lot, shop.away) < now_ms:
            yield lot, "unconfirmed"
        elif lot.seen.kind == "confirmed" and lot.seen.t_ms >= today_ms:
            continue
        elif freshly_milled(lot, now_ms) and lot.lying != "wrapped":
            yield lot, "milled"
        elif lot.lying == "one-face":
            yield lot, "one-face"
        elif lot.seen.t_ms >= today_ms:
            yield lot, "touched"


def entry_id(round_id: str, lot: str) -> str:
    """The id of what one round says of one lot: the same from the same, however often it is sent."""
    return f"{round_id}/{hashlib.sha256(lot.encode()).hexdigest()[:16]}"


def entries_of(  # noqa: PLR0917
    round_id: str, answers: tuple[Answer, ...], who: str, shop: Shop, t_ms: int, recorded_ms: int,
    before: Mapping[str, Entry] = MappingProxyType({}),
) -> list[Entry]:  # fmt: skip
    """The entries that a round's answers come to; a lot that was not seen gets none. ``before`` are those of the same
    round that were written already. Raises NotPossible for an answer that cannot be, with the id of its entry."""
    found: list[Entry] = []
    for answer in answers:
        name = entry_id(round_id, answer.lot)
        if any(one.id == name for one in found):
            raise NotPossible(name, "lot", f"{answer.lot!r} twice", "one answer for each lot")
        deed = _deed(name, answer, shop, before.get(name))
        if deed is not None:
            at_ms = t_ms if answer.t_ms is None else answer.t_ms
            found.append(Entry(id=name, t_ms=at_ms, recorded_ms=recorded_ms, who=who, deed=deed))
    return found


def _deed(name: str, answer: Answer, shop: Shop, before: Entry | None) -> LotDeed | None:
    lot = shop.lots.get(answer.lot)
    if lot is None:
        raise NotPossible(name, "lot", repr(answer.lot), "a lot that is in the shop")
    if answer.said != "moved" and (answer.zone, answer.lying) != (None, None):
        raise NotPossible(name, "said", f"{answer.said!r} with a zone or how it lies", "moved")
    match answer.said:
        case "not-seen":
            return None
        case "as-it-was":
            return Confirmed(lot=lot.id)
        case "opened":
            if before is None and lot.lying in ("stickered", "on-edge"):
                found = f"'opened' of {lot.id!r}, which lies {lot.lying} and open"
                raise NotPossible(name, "said", found, "as-it-was or moved")
            return Laid(kind="unwrapped", lot=lot.id)
        case "moved":
            if answer.zone is None and answer.lying is None:
                raise NotPossible(name, "zone", "nothing", "where it was moved to, or how it lies now")
            here = lot.zone if before is None else getattr(before.deed, "zone", lot.zone)
            return Moved(lot=lot.id, zone=answer.zone or here, lying=answer.lying)
