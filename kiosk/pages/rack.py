"""The rack: every lot as a card, the worst first; filters by zone and verdict; the way to add stock."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from kiosk.blocks import Button, Cards, CardView, Choices, Column, Heading, Line, PageView
from kiosk.client import Ask
from kiosk.pages.base import Open, Seen, Stay, Step
from kiosk.pages.forms import RECEIVE, begun
from kiosk.pages.lot import LotPage, moisture_line, section_of, size_text
from kiosk.pages.round import RoundPage
from kiosk.viewmodel import SEVERITY
from kiosk.views import BandView

LOTS = Ask("lots", "/api/lots", (("order", "worst"), ("limit", "200")))
"""More than two hundred are no wall's business: their worst are seen."""


@dataclass(frozen=True, slots=True)
class RackPage:
    """``zone`` and ``word`` are the filters that are set; ``choosing`` says that they are being set."""

    zone: str = ""
    word: str = ""
    choosing: bool = False

    def asks(self, seen: Seen) -> Iterable[Ask]:
        return (LOTS,)

    def shown(self, seen: Seen) -> PageView:
        lots: Sequence[dict[str, Any]] | None = seen.document("lots")
        if lots is None:
            return PageView((Column((Line(_waiting(seen)),)),), deeds=(Button("add", seen.words("add-stock")),))
        if self.choosing:
            return self._filters(seen, lots)
        some = [lot for lot in lots if self._wanted(lot)]
        words = seen.words
        filtered = self.zone or self.word
        deeds = [Button("add", words("add-stock"))]
        if lots:
            deeds.append(
                Button(
                    "filter", words("filter"), note=self._filter_text(seen) if filtered else "", chosen=bool(filtered)
                )
            )
            deeds.append(Button("round", words("round")))
        if not some:
            text = words("rack-none-such") if lots else words("rack-empty")
            return PageView((Column((Line(text),)),), deeds=tuple(deeds))
        cards = Cards(f"{self.zone}/{self.word}", tuple(card_of(seen, lot) for lot in some), words)
        return PageView((Column((cards,), bare=True),), tuple(deeds), band=_band(seen, some[0]))

    def touched(self, seen: Seen, name: str) -> Step | None:
        kind, _, what = name.partition(":")
        if kind == "lot":
            return Open(LotPage(what))
        if kind == "round":
            return Open(RoundPage())
        if kind == "add":
            return Open(begun(RECEIVE, seen))
        other: dict[str, RackPage] = {
            "filter": replace(self, choosing=True),
            "show": replace(self, choosing=False),
            "zone": replace(self, zone="" if what == self.zone else what),
            "word": replace(self, word="" if what == self.word else what),
        }
        return Stay(other[kind]) if kind in other else None

    def _wanted(self, lot: dict[str, Any]) -> bool:
        verdict = lot.get("verdict") or {}
        return (not self.zone or lot["zone"] == self.zone) and (not self.word or verdict.get("word") == self.word)

    def _filter_text(self, seen: Seen) -> str:
        parts = [zone_name(seen, self.zone) if self.zone else "", seen.words(f"word-{self.word}") if self.word else ""]
        return " · ".join(part for part in parts if part)

    def _filters(self, seen: Seen, lots: Sequence[dict[str, Any]]) -> PageView:
        zones = sorted({str(lot["zone"]) for lot in lots}, key=lambda zone: zone_name(seen, zone))
        by_zone = tuple(Button(f"zone:{z}", zone_name(seen, z), chosen=z == self.zone) for z in zones)
        by_word = tuple(
            Button(f"word:{w}", seen.words(f"word-{w}"), chosen=w == self.word, word=w, lean="dry") for w in SEVERITY
        )
        left = Column((Heading(seen.words("filter-zone")), Choices("zones", by_zone)))
        right = Column((Heading(seen.words("filter-word")), Choices("words", by_word)))
        found = sum(1 for lot in lots if self._wanted(lot))
        return PageView((left, right), deeds=(Button("show", seen.words("filter-show", count=found)),))


def _waiting(seen: Seen) -> str:
    answer = seen.answers.get("lots")
    if answer is not None and answer.refused is not None:
        return seen.words("not-known", reason=answer.refused.text)
    return seen.words("being-fetched")


def _band(seen: Seen, lot: dict[str, Any]) -> BandView | None:
    """The worst lot's verdict, as its page and the phone say it."""
    verdict = lot.get("verdict")
    if verdict is None:
        return None
    title = f"{lot['name']}: {verdict['title']['text']}"
    why = str((verdict.get("if_still") or verdict["why"])["text"])
    return BandView(
        verdict["word"], verdict["lean"], title, why, verdict["title"]["text"], seen.words(f"word-{verdict['word']}")
    )


def card_of(seen: Seen, lot: dict[str, Any]) -> CardView:
    """A lot as a card."""
    verdict = lot.get("verdict")
    lying = str(lot["lying"])
    where = zone_name(seen, str(lot["zone"])), seen.words(f"lying-{lying}")
    return CardView(
        name=f"lot:{lot['id']}",
        title=str(lot["name"]),
        tag=size_text(seen, lot),
        word=str(verdict["word"]) if verdict else "",
        lean=str(verdict["lean"]) if verdict else "none",
        verdict=str(verdict["title"]["text"]) if verdict else seen.words("being-worked-out"),
        left=", ".join(where),
        right=moisture_line(seen, lot),
        grain=section_of(lot),
    )


def zone_name(seen: Seen, zone: str) -> str:
    """What the shop calls a zone."""
    zones = seen.snapshot["zones"] if seen.snapshot else ()
    return next((str(z["name"]) for z in zones if z["id"] == zone), zone)
